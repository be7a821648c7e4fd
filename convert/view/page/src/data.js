// The tree's files. From a server they are fetched; on a disk a browser lets a page read
// only scripts, so that there each file stands in a script which hands it over.

/** What is read is kept, up to this many bytes: steps share most of their geometry. */
const KEPT = 192 << 20;

const handed = new Map(); // on a disk: who waits for which path

window.planfold = (path, text) => {
  const raw = atob(text);
  const bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
  handed.get(path)?.(bytes.buffer);
};

function fromDisk(path) {
  return new Promise((resolve, reject) => {
    handed.set(path, resolve);
    const script = document.createElement('script');
    script.onerror = () => reject(new Error(path));
    script.onload = () => {
      script.remove();
      reject(new Error(path)); // of no effect once it has handed its file over
    };
    script.src = `tree/${path}.js`;
    document.head.append(script);
  }).finally(() => handed.delete(path));
}

async function fromServer(path) {
  const answer = await fetch(`tree/${path}`);
  if (!answer.ok) throw new Error(`${path}: ${(await answer.text()).trim()}`);
  return answer.arrayBuffer();
}

const read = location.protocol === 'file:' ? fromDisk : fromServer;
const kept = new Map(); // path → { reading, length }, oldest first; the length once it is read
let size = 0;

/** The bytes of a file; its path is from the tree's root. */
export function bytes(path) {
  const known = kept.get(path);
  if (known) return known.reading;
  const file = { reading: read(path), length: 0 };
  kept.set(path, file);
  file.reading.then((b) => keep(file, b.byteLength), () => kept.delete(path));
  return file.reading;
}

function keep(file, length) {
  file.length = length;
  size += length;
  for (const [path, oldest] of kept) {
    if (size <= KEPT || oldest === file) break;
    if (oldest.length === 0) continue; // it is being read
    kept.delete(path);
    size -= oldest.length;
  }
}

/** A JSON document. */
export async function json(path) {
  return JSON.parse(new TextDecoder().decode(await bytes(path)));
}

/** Where a file can be linked to, or shown from. */
export const address = (path) => `tree/${path}`;

/** The path that a reference in a folder's document leads to. */
export function resolve(folder, reference) {
  const parts = folder.split('/');
  for (const part of reference.split('/')) {
    if (part === '..') parts.pop();
    else parts.push(part);
  }
  return parts.join('/');
}
