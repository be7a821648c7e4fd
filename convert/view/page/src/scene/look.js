// How parts look by what they are to the step. Red, orange and yellow, colours of safety
// signs, are left to hazard statements.
import { Color, DoubleSide, EdgesGeometry, FrontSide, GreaterDepth, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial } from 'three';

const SHARP = 28; // degrees between faces from which an edge is drawn
const EDGED = 24000; // triangles of a mesh up to which its edges are looked for

/** The looks, by name; their colours are the page's, so that they change with its theme. */
export class Looks {
  constructor() {
    this.focus = new MeshLambertMaterial({ polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
    this.context = new MeshLambertMaterial({ polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
    this.picked = this.focus.clone();
    this.behind = new MeshBasicMaterial({ transparent: true, opacity: 0.3, depthFunc: GreaterDepth, depthWrite: false });
    this.edges = new LineBasicMaterial();
    this.path = new LineBasicMaterial();
    this.aligned = new LineBasicMaterial();
    this.alignedBehind = new LineBasicMaterial({ transparent: true, opacity: 0.35, depthFunc: GreaterDepth, depthWrite: false });
    this.own = new Map(); // a file's material → as it is drawn
    this.read();
  }

  read() {
    const probe = document.body.appendChild(document.createElement('span')); // a variable is resolved only where it is used
    for (const name of ['focus', 'context', 'picked', 'edges', 'path', 'aligned']) {
      probe.style.color = `var(--scene-${name})`;
      this[name].color = new Color(getComputedStyle(probe).color);
    }
    this.behind.color = this.focus.color;
    this.alignedBehind.color = this.aligned.color;
    probe.remove();
  }

  /** Both sides are drawn where something is cut open. */
  cut(is) {
    for (const m of [this.focus, this.context, this.picked, ...this.own.values()]) {
      m.side = is ? DoubleSide : FrontSide;
      m.needsUpdate = true;
    }
  }

  /** Gives a part its look. */
  dress(part, picked, ownColours) {
    for (const mesh of part.meshes) {
      if (picked) mesh.material = this.picked;
      else if (ownColours) mesh.material = this.ownOf(mesh.userData.own);
      else mesh.material = this[part.node.role];
    }
  }

  // Metals are black without surroundings to mirror, so that only colour and opacity are
  // taken of a file's material.
  ownOf(material) {
    if (!this.own.has(material)) {
      this.own.set(material, new MeshLambertMaterial({
        color: material.color, opacity: material.opacity, transparent: material.transparent, vertexColors: material.vertexColors, side: this.focus.side,
        polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
      }));
    }
    return this.own.get(material);
  }

  /** Draws the sharp edges of this step's parts, and faintly what other parts hide of them. */
  outline(part) {
    for (const mesh of part.meshes) {
      mesh.add(new Mesh(mesh.geometry, this.behind));
      const count = (mesh.geometry.index ?? mesh.geometry.attributes.position).count / 3;
      if (count > EDGED || mesh.userData.edged) continue;
      mesh.userData.edged = true;
      mesh.add(new LineSegments(new EdgesGeometry(mesh.geometry, SHARP), this.edges));
    }
  }
}
