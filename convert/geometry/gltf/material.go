package gltf

import "planfold/convert/mesh"

const glossiness = "KHR_materials_pbrSpecularGlossiness"

func (r *reader) readMaterials() {
	for _, v := range r.objects("materials") {
		m := mesh.Material{Name: r.str(r.field(v, "name")), Color: [4]float64{1, 1, 1, 1}, TwoSided: r.boolean(r.field(v, "doubleSided"))}
		pbr := r.field(v, "pbrMetallicRoughness")
		if pbr >= 0 {
			r.kind(pbr, '{')
		}
		m.Metallic = share(r.numberOr(r.field(pbr, "metallicFactor"), 1))
		m.Roughness = share(r.numberOr(r.field(pbr, "roughnessFactor"), 1))
		r.color(r.field(pbr, "baseColorFactor"), &m)
		if old := r.extension(v, glossiness); old >= 0 && pbr < 0 {
			r.color(r.field(old, "diffuseFactor"), &m)
			m.Metallic = 0
			m.Roughness = 1 - share(r.numberOr(r.field(old, "glossinessFactor"), 1))
		}
		if r.str(r.field(v, "alphaMode")) != "BLEND" {
			m.Color[3] = 1 // the other modes draw fully or not at all
		}
		if r.stopped() {
			return
		}
		r.materials = append(r.materials, m)
		for _, t := range []int{
			r.field(pbr, "baseColorTexture"), r.field(pbr, "metallicRoughnessTexture"), r.field(v, "normalTexture"),
			r.field(v, "occlusionTexture"), r.field(v, "emissiveTexture"),
		} {
			if t >= 0 && r.skipped.texture == 0 {
				r.skipped.texture = t
			}
		}
	}
}

func (r *reader) color(v int, m *mesh.Material) {
	if v < 0 {
		return
	}
	r.numbers(v, m.Color[:])
	for k := range m.Color {
		m.Color[k] = share(m.Color[k])
	}
}

func share(x float64) float64 { return max(0, min(1, x)) }
