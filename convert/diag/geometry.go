package diag

// Codes of geometry files of any format. A file with an error is refused whole:
// half a part on a screen misleads more than none.
var (
	GeometryPath = row("GEOMETRY_PATH", Error, "a geometry file's path leaves the input folder or cannot be a path",
		"the file is not opened; the item has no geometry", "name a file below the input folder, with forward slashes and without \"..\"")
	GeometryMissing = row("GEOMETRY_MISSING", Error, "a geometry file is not there",
		"the item has no geometry", "export the file, or mend its name in the plan; letter case counts")
	GeometryFormatUnknown = row("GEOMETRY_FORMAT_UNKNOWN", Error, "a geometry file is of no format that is read",
		"the file is refused; the item has no geometry", "export the part as glTF, GLB, STL or OBJ")
	GeometryFormatOther = row("GEOMETRY_FORMAT_OTHER", Info, "a geometry file holds another format than its name says",
		"it is read as what it holds", "rename the file")
	GeometryUnitMissing = row("GEOMETRY_UNIT_MISSING", Error, "an STL or OBJ file has no declared unit, and the format carries none",
		"the file is refused", "declare the unit in the rules, under frame: geometry")
	GeometryLimit = row("GEOMETRY_LIMIT", Error, "a geometry file is larger than what is read",
		"the file is refused", "split the part or export it more coarsely")
	GeometrySyntax = row("GEOMETRY_SYNTAX", Error, "a text geometry file does not follow its format",
		"the file is refused", "export the file again; the position names the first fault")
	GeometryTruncated = row("GEOMETRY_TRUNCATED", Error, "a geometry file ends before what it announced",
		"the file is refused", "export or copy the file again")
	GeometryTrailing = row("GEOMETRY_TRAILING", Warning, "a geometry file goes on after its end",
		"what stands after the end is not read", "export the file again if triangles are missing")
	GeometryCoordinate = row("GEOMETRY_COORDINATE", Error, "a coordinate is not a number, infinite or beyond a million kilometres",
		"the file is refused", "repair the part in CAD and export it again")
	GeometryIndex = row("GEOMETRY_INDEX", Error, "a face names a vertex that is not there",
		"the file is refused", "export the file again")
	GeometryEmpty = row("GEOMETRY_EMPTY", Error, "a geometry file has no triangle that can be drawn",
		"the item has no geometry", "export the part's surfaces, not its curves or points")
	GeometryDegenerate = row("GEOMETRY_DEGENERATE", Info, "triangles have two corners in one place",
		"they are removed; no surface is lost", "nothing; a finer export tolerance avoids them")
	GeometryDuplicate = row("GEOMETRY_DUPLICATE", Info, "triangles are there twice",
		"the later ones are removed; no surface is lost", "look for a part exported twice in one file")
	GeometryPolygon = row("GEOMETRY_POLYGON", Warning, "a face crosses itself or is too twisted to be split cleanly",
		"it is split as a fan, which may cover more than the face", "export triangles instead of polygons")
	GeometryUnsupported = row("GEOMETRY_UNSUPPORTED", Warning, "a geometry file has elements other than polygons",
		"they are left out", "export a triangle mesh")
	GeometryMaterial = row("GEOMETRY_MATERIAL", Warning, "a material or its file is missing or cannot be read",
		"the surfaces keep the material's name and get a default look", "export the material file beside the geometry")
	GeometryAttribute = row("GEOMETRY_ATTRIBUTE", Warning, "texture coordinates or vertex colours are malformed",
		"they are left out; the shape is complete", "export the file again if its colours matter")
	GeometryTexture = row("GEOMETRY_TEXTURE", Warning, "a material has textures",
		"the textures are left out; the plain colour stays", "give the material the colour it should have")
)

// Codes of glTF 2.0 files.
var (
	GltfContainer = row("GLTF_CONTAINER", Error, "a GLB file's header or chunks are wrong",
		"the file is refused", "export or copy the file again")
	GltfJSON = row("GLTF_JSON", Error, "a glTF file's JSON is malformed",
		"the file is refused", "export the file again; the position names the first fault")
	GltfVersion = row("GLTF_VERSION", Error, "a glTF file is of a version other than 2",
		"the file is refused", "export glTF 2.0")
	GltfExtension = row("GLTF_EXTENSION", Error, "a glTF file requires an extension that is not read",
		"the file is refused", "export without the extension: uncompressed meshes, core glTF 2.0")
	GltfValue = row("GLTF_VALUE", Error, "a glTF property is missing or has a wrong type or value",
		"the file is refused", "export the file again; the message names the property")
	GltfReference = row("GLTF_REFERENCE", Error, "a glTF property refers to an object that is not there",
		"the file is refused", "export the file again; the message names the property")
	GltfGraph = row("GLTF_GRAPH", Error, "glTF nodes form a loop, share a child or nest too deep",
		"the file is refused", "export the file again; each node has one parent")
	GltfURI = row("GLTF_URI", Error, "a glTF buffer's URI is malformed, leaves the input folder or points to a network",
		"nothing is fetched; the file is refused", "put the buffer beside the glTF file, or export a GLB")
	GltfBuffer = row("GLTF_BUFFER", Error, "a glTF buffer is missing or shorter than declared",
		"the file is refused", "copy the .bin file along, or export a GLB")
	GltfAccessor = row("GLTF_ACCESSOR", Error, "a glTF accessor or buffer view does not fit its data or its use",
		"the file is refused", "export the file again; the message names the accessor")
	GltfIndex = row("GLTF_INDEX", Error, "a glTF index names a vertex that is not there",
		"the file is refused", "export the file again")
	GltfLimit = row("GLTF_LIMIT", Error, "a glTF file claims more than its bytes can hold or than is read",
		"the file is refused", "split the file, or export shared parts as shared meshes")
	GltfIgnored = row("GLTF_IGNORED", Info, "a glTF file holds cameras, lights, animations, other scenes or optional extensions",
		"they are not read; the shape is complete", "nothing")
	GltfShape = row("GLTF_SHAPE", Warning, "a glTF mesh is bent by a skin or by morph targets",
		"the mesh is taken in its rest shape", "apply the deformation before export")
	GltfPrimitive = row("GLTF_PRIMITIVE", Warning, "a glTF mesh has points, lines or primitives without positions",
		"they are left out", "export surfaces")
)
