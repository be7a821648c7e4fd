// Reads the glTF files given with three.js and meshoptimizer and prints one JSON
// array with, a file: the SHA-256 of every compressed view as meshoptimizer's decoder
// gives it, in order, the triangles and the bounds of the scene as three.js loads it,
// and what it makes of each clip: how far nodes travel in it, and how far from where they
// stand in the scene they end.
import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { MeshoptDecoder } from 'meshoptimizer';
import { AnimationMixer, Box3, LoopOnce, Vector3 } from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';

// What the loader expects of a browser.
globalThis.self = globalThis;
globalThis.ProgressEvent ??= class extends Event {};

const extension = 'EXT_meshopt_compression';
await MeshoptDecoder.ready;

// A GLB's document and its own buffer.
const chunks = (data) => {
  const length = data.readUInt32LE(12);
  return [JSON.parse(data.subarray(20, 20 + length)), data.subarray(20 + length + 8)];
};

const read = async (file) => {
  const data = await readFile(file);
  const packed = data.toString('latin1', 0, 4) === 'glTF';
  const [document, own] = packed ? chunks(data) : [JSON.parse(data)];
  const buffers = [];
  for (const b of document.buffers ?? []) {
    buffers.push(b.uri ? await readFile(resolve(dirname(file), decodeURIComponent(b.uri))) : buffers.length ? undefined : own);
  }
  const views = [];
  for (const v of document.bufferViews ?? []) {
    const c = v.extensions?.[extension];
    if (!c) continue;
    const start = c.byteOffset ?? 0;
    const decoded = new Uint8Array(c.count * c.byteStride);
    MeshoptDecoder.decodeGltfBuffer(decoded, c.count, c.byteStride, buffers[c.buffer].subarray(start, start + c.byteLength), c.mode, c.filter);
    views.push(createHash('sha256').update(decoded).digest('hex'));
  }
  buffers.forEach((data, i) => {
    if (data && !packed) document.buffers[i].uri = 'data:application/octet-stream;base64,' + data.toString('base64');
  });
  const whole = packed ? data.buffer.slice(data.byteOffset, data.byteOffset + data.length) : JSON.stringify(document);
  const { scene, animations } = await new GLTFLoader().setMeshoptDecoder(MeshoptDecoder).parseAsync(whole, '');
  let triangles = 0;
  scene.traverse((o) => {
    if (o.isMesh) triangles += o.geometry.index.count / 3;
  });
  const box = new Box3().setFromObject(scene, true);
  const clips = animations.map((clip) => play(scene, clip));
  return { file, views, triangles, min: box.min.toArray(), max: box.max.toArray(), clips };
};

// Node's place and turn, by two points that stand on it.
const places = (scene) => {
  const points = [];
  scene.updateMatrixWorld(true);
  scene.traverse((o) => points.push(o.localToWorld(new Vector3()), o.localToWorld(new Vector3(1, 2, 3))));
  return points;
};
const farthest = (a, b) => Math.max(...a.map((p, i) => p.distanceTo(b[i])));

const play = (scene, clip) => {
  const home = places(scene);
  const mixer = new AnimationMixer(scene);
  const action = mixer.clipAction(clip).setLoop(LoopOnce);
  action.clampWhenFinished = true;
  action.play();
  let travel = 0;
  for (const part of [0, 0.25, 0.5, 0.75]) {
    mixer.setTime(part * clip.duration);
    travel = Math.max(travel, farthest(home, places(scene)));
  }
  mixer.setTime(clip.duration);
  const off = farthest(home, places(scene));
  action.stop();
  return { name: clip.name, seconds: clip.duration, travel, off };
};

const reports = [];
for (const file of process.argv.slice(2)) reports.push(await read(file));
console.log(JSON.stringify(reports));
