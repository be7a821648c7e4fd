// A scene of the tree as objects: its parts by name, each in a holder of its own, so that
// it can be moved apart without touching what its motion moves.
import { Box3, Group, Vector3 } from 'three';
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { MeshoptDecoder } from 'three/examples/jsm/libs/meshopt_decoder.module.js';
import { bytes, resolve } from '../data.js';

/** Reads a scene; nodes are its rows in step.json, or null to take every named part. */
export async function loadModel(path, nodes) {
  const folder = path.slice(0, path.lastIndexOf('/'));
  const loader = new GLTFLoader();
  loader.setMeshoptDecoder(MeshoptDecoder);
  loader.register((parser) => {
    parser.fileLoader = { load: (uri, done, _, failed) => bytes(resolve(folder, uri)).then(done, failed) };
    return { name: 'planfold' };
  });
  const gltf = await loader.parseAsync(await bytes(path), '');
  return new Model(gltf, nodes);
}

class Model {
  constructor(gltf, nodes) {
    this.root = gltf.scene;
    this.clips = gltf.animations;
    this.camera = gltf.cameras[0] ?? null;
    const objects = byName(gltf);
    this.parts = (nodes ?? wholeNodes(gltf)).filter((node) => objects.has(node.name)).map((node) => this.part(node, objects.get(node.name)));
    this.root.updateMatrixWorld(true);
    for (const p of this.parts) {
      p.box = new Box3().setFromObject(p.object);
      p.centre = p.object.worldToLocal(p.box.getCenter(new Vector3())); // in its own frame
    }
    this.bounds = union(this.parts.map((p) => p.box));
  }

  part(node, object) {
    const holder = new Group();
    object.parent.add(holder);
    holder.add(object);
    const meshes = [];
    object.traverse((o) => {
      if (!o.isMesh) return;
      o.userData.part = node;
      o.userData.own = o.material;
      meshes.push(o);
    });
    return { node, object, holder, meshes };
  }

  /** The parts of a role. */
  of(role) {
    return this.parts.filter((p) => p.node.role === role);
  }

  /** Gives the whole product's parts that a step is about their role: those of its names, at
      its place, as a scene of a step may call them shorter. */
  highlight({ scene, locator }) {
    if (!scene || !locator) return;
    const names = scene.nodes.filter((n) => n.role === 'focus').map((n) => `/${n.occurrence}`);
    const place = new Box3(...locator.box.map((corner) => new Vector3(...corner))).expandByScalar(1e-4);
    for (const p of this.parts) {
      if (place.containsPoint(p.box.getCenter(new Vector3())) && names.some((n) => `/${p.node.name}`.endsWith(n))) p.node.role = 'focus';
    }
  }

  /** Moves this step's parts out from the middle of the scene, by a share of its size. */
  explode(share) {
    const middle = this.bounds.getCenter(new Vector3());
    for (const p of this.of('focus')) {
      const way = p.box.getCenter(new Vector3()).sub(middle);
      if (way.length() < 1e-4) way.set(0, 1, 0).multiplyScalar(this.bounds.getSize(new Vector3()).length() / 4);
      p.holder.position.copy(inFrameOf(p.holder.parent, way.multiplyScalar(share)));
    }
  }

  dispose() {
    this.root.traverse((o) => {
      if (o.isSprite) o.material.map.dispose();
      else o.geometry?.dispose();
    });
  }
}

export const union = (boxes) => boxes.reduce((all, b) => all.union(b), new Box3());

/** A direction of the world in an object's frame. */
function inFrameOf(object, direction) {
  const origin = object.worldToLocal(new Vector3());
  return object.worldToLocal(direction).sub(origin);
}

function byName(gltf) {
  const objects = new Map();
  const index = (o) => gltf.parser.associations.get(o)?.nodes;
  gltf.scene.traverse((o) => {
    const name = index(o) == null ? null : gltf.parser.json.nodes[index(o)].name;
    if (name && !objects.has(name)) objects.set(name, o);
  });
  return objects;
}

// In whole.gltf the parts are the uppermost named nodes below the root.
function wholeNodes(gltf) {
  const { nodes, scenes, scene = 0 } = gltf.parser.json;
  const out = [];
  const walk = (i, depth) => {
    const node = nodes[i];
    if (depth > 0 && node.name && node.camera == null) out.push({ name: node.name, occurrence: node.name, role: 'context' });
    else node.children?.forEach((child) => walk(child, depth + 1));
  };
  scenes[scene].nodes.forEach((i) => walk(i, 0));
  return out;
}
