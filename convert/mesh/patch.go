package mesh

import (
	"cmp"
	"slices"
)

// Patches are nodes of a scene whose meshes are pieces of one surface: their open
// borders coincide, edge for edge, in exactly the same places.
type Patches struct {
	Nodes []int // ascending
	First []int // by node, and one more: where its groups in Mesh start
	Mesh  *Mesh // all of them, joined along the borders that they share
	// Alone are the nodes' meshes as they are, but with the shared vertices fixed.
	Alone []*Mesh
}

// Patches finds patches, each node in one of them at most. Only a mesh that one node
// alone shows can be a patch, and only nodes with equal transforms to the scene's
// frame have patches of one surface: through other transforms no two places are
// exactly the same. A closed mesh costs one look at its triangles.
func (s *Scene) Patches() []Patches {
	var out []Patches
	parent := make([]int, len(s.Nodes)) // 0 of a root, else one more
	for i := range s.Nodes {
		for _, c := range s.Nodes[i].Children {
			parent[c] = i + 1
		}
	}
	for _, nodes := range s.byTransform() {
		out = append(out, s.joinable(nodes, parent)...)
	}
	slices.SortFunc(out, func(a, b Patches) int { return cmp.Compare(a.Nodes[0], b.Nodes[0]) })
	return out
}

// byTransform lists the nodes that alone show their mesh by their transform to the scene's
// frame.
func (s *Scene) byTransform() [][]int {
	shown := make([]int, len(s.Meshes))
	for _, n := range s.Nodes {
		if n.Mesh >= 0 {
			shown[n.Mesh]++
		}
	}
	slot := map[Mat]int{}
	var lists [][]int
	var walk func(n int, above Mat)
	walk = func(n int, above Mat) {
		node := &s.Nodes[n]
		at := above.Mul(node.Transform)
		if node.Mesh >= 0 && shown[node.Mesh] == 1 {
			i, known := slot[at]
			if !known {
				i = len(lists)
				slot[at] = i
				lists = append(lists, nil)
			}
			lists[i] = append(lists[i], n)
		}
		for _, c := range node.Children {
			walk(c, at)
		}
	}
	for _, root := range s.Roots {
		walk(root, Identity())
	}
	return lists
}

// frontier is an edge by its ends, the lesser place first.
type frontier [2]Vec

// borders are the open edges of meshes that may be patches.
type borders struct {
	meshes []*Mesh
	edges  [][][2]int32 // by mesh
	number map[frontier]int
	owners [][]int // by number: the meshes that have the edge
}

func newBorders(meshes []*Mesh) *borders {
	b := &borders{meshes: meshes, number: map[frontier]int{}}
	for i, m := range meshes {
		edges := m.border()
		for _, e := range edges {
			key := m.frontier(e)
			n, there := b.number[key]
			if !there {
				n = len(b.owners)
				b.number[key] = n
				b.owners = append(b.owners, nil)
			}
			b.owners[n] = append(b.owners[n], i)
		}
		b.edges = append(b.edges, edges)
	}
	return b
}

// surfaces lists the meshes that make one surface. An edge that two of them have joins
// them, and one that more have joins two under one node. If then it is not closed in each
// surface that has it, as where sheets meet in a T, it joins all; else bodies touch there.
func (b *borders) surfaces(above []int) [][]int {
	s := newSets(len(b.meshes))
	for _, o := range b.owners {
		if len(o) == 2 {
			s.join(o[0], o[1])
			continue
		}
		for _, i := range o {
			if pair := those(o, func(j int) bool { return above[j] == above[i] }); len(pair) == 2 {
				s.join(pair[0], pair[1])
			}
		}
	}
	for _, o := range b.owners {
		if !slices.ContainsFunc(o, func(i int) bool {
			return len(those(o, func(j int) bool { return s.least(j) == s.least(i) })) != 2
		}) {
			continue
		}
		for _, i := range o {
			s.join(o[0], i)
		}
	}
	return s.lists()
}

func those(list []int, is func(int) bool) []int {
	return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return !is(i) })
}

// fixed is mesh i with the vertices fixed that it shares.
func (b *borders) fixed(i int) *Mesh {
	m := *b.meshes[i]
	m.Fixed = make([]bool, len(m.Positions))
	for _, e := range b.edges[i] {
		if len(b.owners[b.number[m.frontier(e)]]) > 1 {
			m.Fixed[e[0]], m.Fixed[e[1]] = true, true
		}
	}
	return &m
}

// joinable groups nodes of one transform that share borders.
func (s *Scene) joinable(nodes, parent []int) (out []Patches) {
	if len(nodes) < 2 {
		return nil
	}
	slices.Sort(nodes)
	meshes, above := make([]*Mesh, len(nodes)), make([]int, len(nodes))
	for i, n := range nodes {
		meshes[i], above[i] = s.Meshes[s.Nodes[n].Mesh], parent[n]
	}
	b := newBorders(meshes)
	for _, members := range b.surfaces(above) {
		var p Patches
		for _, i := range members {
			p.Nodes, p.Alone = append(p.Nodes, nodes[i]), append(p.Alone, b.fixed(i))
		}
		p.Mesh, p.First = join(p.Alone)
		out = append(out, p)
	}
	return out
}

// sets are disjoint sets of numbers; each leads to its least member.
type sets []int

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = i
	}
	return s
}

func (s sets) least(i int) int {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

func (s sets) join(a, b int) {
	a, b = s.least(a), s.least(b)
	s[max(a, b)] = min(a, b)
}

// lists are the sets of more than one member, in order.
func (s sets) lists() [][]int {
	members := make([][]int, len(s))
	for i := range s {
		members[s.least(i)] = append(members[s.least(i)], i)
	}
	return slices.DeleteFunc(members, func(list []int) bool { return len(list) < 2 })
}

func (m *Mesh) frontier(e [2]int32) frontier {
	a, b := m.Positions[e[0]], m.Positions[e[1]]
	if slices.Compare(a[:], b[:]) > 0 {
		a, b = b, a
	}
	return frontier{a, b}
}

// border lists the edges that one triangle alone has. Around a vertex inside a
// surface each neighbour comes once as the next and once as the one before; only where
// that does not balance are edges looked at.
func (m *Mesh) border() [][2]int32 {
	balance := make([]uint64, len(m.Positions))
	for _, t := range m.Triangles {
		a, b, c := mix(uint64(t[0]), 1), mix(uint64(t[1]), 1), mix(uint64(t[2]), 1)
		balance[t[0]] += b - c
		balance[t[1]] += c - a
		balance[t[2]] += a - b
	}
	var edges [][2]int32
	for _, t := range m.Triangles {
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			if balance[a] != 0 && balance[b] != 0 {
				edges = append(edges, [2]int32{min(a, b), max(a, b)})
			}
		}
	}
	slices.SortFunc(edges, func(a, b [2]int32) int { return slices.Compare(a[:], b[:]) })
	kept := edges[:0]
	for i := 0; i < len(edges); {
		j := i + 1
		for j < len(edges) && edges[j] == edges[i] {
			j++
		}
		if j == i+1 {
			kept = append(kept, edges[i])
		}
		i = j
	}
	return kept
}

// join makes one mesh of several, whose fixed vertices are one where they are in one
// place. Groups follow each other, each mesh with its own; first tells where they start,
// and where the last ones end.
func join(parts []*Mesh) (out *Mesh, first []int) {
	out = &Mesh{}
	at := map[Vec]int32{}
	groups := 0
	for _, m := range parts {
		first = append(first, groups)
		number := make([]int32, len(m.Positions))
		for v, p := range m.Positions {
			if m.Fixed[v] {
				if i, there := at[p]; there {
					number[v] = i
					continue
				}
				at[p] = int32(len(out.Positions))
			}
			number[v] = int32(len(out.Positions))
			out.Positions = append(out.Positions, p)
		}
		for i, t := range m.Triangles {
			g := int32(groups)
			if m.Group != nil {
				g += m.Group[i]
			}
			out.Triangles = append(out.Triangles, [3]int32{number[t[0]], number[t[1]], number[t[2]]})
			out.Group = append(out.Group, g)
		}
		groups += m.Groups()
	}
	joinAttributes(out, parts)
	return out, append(first, groups)
}

// Join lets the nodes of each patch show its groups of one mesh, in place of a mesh
// of its own.
func (s *Scene) Join(list []Patches) {
	gone := make([]bool, len(s.Meshes))
	for _, p := range list {
		for i, n := range p.Nodes {
			node := &s.Nodes[n]
			gone[node.Mesh] = true
			node.Mesh, node.First, node.Count = len(s.Meshes), p.First[i], p.First[i+1]-p.First[i]
		}
		s.Meshes = append(s.Meshes, p.Mesh)
	}
	kept := make([]int, len(s.Meshes))
	meshes := s.Meshes[:0:0]
	for i, m := range s.Meshes {
		if kept[i] = len(meshes); i >= len(gone) || !gone[i] {
			meshes = append(meshes, m)
		}
	}
	s.Meshes = meshes
	for i := range s.Nodes {
		if n := &s.Nodes[i]; n.Mesh >= 0 {
			n.Mesh = kept[n.Mesh]
		}
	}
}

// joinAttributes sets the wedges one after the other. What a part lacks is white, or
// at the corner of the texture.
func joinAttributes(out *Mesh, parts []*Mesh) {
	colored, textured := false, false
	for _, m := range parts {
		colored = colored || m.Colors != nil
		textured = textured || m.TexCoords != nil
	}
	if !colored && !textured {
		return
	}
	wedges := int32(0)
	for _, m := range parts {
		own, n := m.Wedges, int32(max(len(m.Colors), len(m.TexCoords)))
		if own == nil {
			own, n = m.Triangles, int32(len(m.Positions))
		}
		for _, w := range own {
			out.Wedges = append(out.Wedges, [3]int32{w[0] + wedges, w[1] + wedges, w[2] + wedges})
		}
		for i := range n {
			color, place := [4]float32{1, 1, 1, 1}, [2]float32{}
			if m.Colors != nil {
				color = m.Colors[i]
			}
			if m.TexCoords != nil {
				place = m.TexCoords[i]
			}
			if colored {
				out.Colors = append(out.Colors, color)
			}
			if textured {
				out.TexCoords = append(out.TexCoords, place)
			}
		}
		wedges += n
	}
}
