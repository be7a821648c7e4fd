// What the overlay is aligned by: the sharp edges of a part, drawn over the step's scene,
// faintly where something hides them.
import { Group, LineSegments, Vector3 } from 'three';
import { loadModel } from './model.js';

export class Edges {
  constructor(looks) {
    this.looks = looks;
    this.group = new Group();
    this.on = false;
  }

  /** Takes the edges from a file, whose zero stands at a position, if that is still wanted then. */
  async load(path, position, wanted) {
    const model = await loadModel(path, null);
    if (!wanted()) return model.dispose();
    this.clear();
    const lines = [];
    model.root.traverse((o) => {
      if (o.isLineSegments) lines.push(o);
      else if (o.isMesh) o.visible = false;
    });
    for (const l of lines) {
      l.material = this.looks.aligned;
      l.add(new LineSegments(l.geometry, this.looks.alignedBehind));
    }
    model.root.position.add(new Vector3(...position));
    this.group.add(model.root);
    this.model = model;
  }

  clear() {
    this.group.clear();
    this.model?.dispose();
    this.model = null;
  }
}
