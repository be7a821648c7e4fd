package obj

import (
	"path"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// materials are those that the file uses, in order of first use.
type materials struct {
	looks   looks
	files   map[string]bool // material files met
	names   []string
	numbers map[string]int
	first   []int // where each is used first
	present int   // -1 before the first use
}

func (m *materials) use(name string, at int) {
	i, there := m.numbers[name]
	if !there {
		i = len(m.names)
		m.numbers[name] = i
		m.names, m.first = append(m.names, name), append(m.first, at)
	}
	m.present = i
}

func newMaterials() materials {
	return materials{looks: looks{}, files: map[string]bool{}, numbers: map[string]int{}, present: -1}
}

// looked gives each its look, now that all material files are read.
func (m *materials) looked(f *source.File) (out []mesh.Material, list diag.List) {
	for i, name := range m.names {
		look, defined := m.looks[name]
		if !defined {
			list.Add(diag.GeometryMaterial.At(f.Text(m.first[i]), "no material file defines %q", name))
			look = plain(name)
		}
		out = append(out, look)
	}
	return out, list
}

// looks are the materials of the files that mtllib names, by name.
type looks map[string]mesh.Material

// plain is the look of a material that no file defines.
func plain(name string) mesh.Material {
	return mesh.Material{Name: name, Color: [4]float64{0.6, 0.6, 0.6, 1}, Roughness: 1}
}

// library reads the material files of an mtllib statement: one name with
// blanks in it, or several without.
func (r *reader) library(at int) {
	rest := strings.ReplaceAll(source.String(r.rest()), `\`, "/")
	names := []string{rest}
	if strings.ContainsAny(rest, " \t") {
		if _, fault, err := source.Read(r.file.FS, r.beside(rest)); fault != nil && err == nil {
			names = strings.Fields(rest)
		}
	}
	for _, name := range names {
		if r.materials.files[name] {
			continue
		}
		r.materials.files[name] = true
		data, fault, err := source.Read(r.file.FS, r.beside(name))
		if err != nil {
			r.err = err
			return
		}
		if fault != nil {
			r.list.Add(diag.GeometryMaterial.At(r.file.Text(at), "the material file cannot be read: %s", fault.Message))
			continue
		}
		r.list.Add(r.materials.looks.read(&source.File{Name: r.beside(name), Data: data})...)
	}
}

func (r *reader) beside(name string) string { return path.Join(path.Dir(r.file.Name), name) }

// read takes the colour and opacity of each material. Kd is taken as a screen
// colour (sRGB), as it is chosen on a screen.
func (l looks) read(f *source.File) (list diag.List) {
	t := newLines(f.Data)
	var m *mesh.Material
	keep := func() {
		if m != nil {
			l[m.Name] = *m
		}
	}
	textures := 0
	opaque := false // whether d was read: it wins over Tr, which programs write either way round
	for t.next() {
		word, at := t.word()
		switch key := string(word); {
		case key == "newmtl":
			keep()
			p := plain(source.String(t.rest()))
			m, opaque = &p, false
		case m == nil:
		case key == "Kd":
			list.Add(t.colour(f, m)...)
		case key == "d" || key == "Tr" && !opaque:
			opaque = key == "d"
			list.Add(t.opacity(f, m, key == "Tr")...)
		case strings.HasPrefix(strings.ToLower(key), "map_k"):
			if textures++; textures == 1 {
				list.Add(diag.GeometryTexture.At(f.Text(at), "material %q has a texture", m.Name))
			}
		}
	}
	keep()
	return list
}

func (l *lines) colour(f *source.File, m *mesh.Material) (list diag.List) {
	for k := range 3 {
		word, at := l.word()
		if len(word) == 0 && k > 0 {
			m.Color[k] = m.Color[0] // green and blue left out are as red
			continue
		}
		v, err := source.Number(word)
		if err != nil {
			list.Add(diag.GeometryMaterial.At(f.Text(at), "the colour of %q has %.40q: %v", m.Name, word, err))
			return list
		}
		m.Color[k] = mesh.Linear(v)
	}
	return nil
}

func (l *lines) opacity(f *source.File, m *mesh.Material, transparency bool) (list diag.List) {
	word, at := l.word()
	v, err := source.Number(word)
	if err != nil {
		list.Add(diag.GeometryMaterial.At(f.Text(at), "the opacity of %q has %.40q: %v", m.Name, word, err))
		return list
	}
	if transparency {
		v = 1 - v
	}
	m.Color[3] = max(0, min(1, v))
	return nil
}
