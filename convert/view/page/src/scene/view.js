// From where a scene is seen: its own camera, or one of ours that keeps the direction of
// the step before, so that orientation is stable from step to step.
import { PerspectiveCamera, Sphere, Vector3 } from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';

const FIELD = 35; // degrees, of our own camera
const TURN = Math.PI / 24; // of a key

export class View {
  constructor(canvas, changed) {
    this.camera = new PerspectiveCamera(FIELD, 1, 0.01, 10);
    this.camera.position.set(1, 0.8, 1.2);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.addEventListener('change', changed);
    this.changed = changed;
    this.field = FIELD;
  }

  /** Goes to a scene's camera, or frames a box. */
  show(model, box) {
    const sphere = box.getBoundingSphere(new Sphere());
    if (model.camera) this.take(model.camera, sphere);
    else this.frame(sphere);
    const all = model.bounds.getBoundingSphere(new Sphere());
    this.reach = all;
    this.fit();
    this.controls.update();
    this.changed();
  }

  take(from, sphere) {
    from.updateWorldMatrix(true, false);
    this.camera.position.setFromMatrixPosition(from.matrixWorld);
    const forward = from.getWorldDirection(new Vector3());
    const distance = Math.max(sphere.center.clone().sub(this.camera.position).dot(forward), sphere.radius, 1e-3);
    this.controls.target.copy(this.camera.position).addScaledVector(forward, distance);
    this.field = from.fov;
  }

  frame(sphere) {
    const back = this.camera.position.clone().sub(this.controls.target).normalize();
    this.field = FIELD;
    this.controls.target.copy(sphere.center);
    this.camera.position.copy(sphere.center).addScaledVector(back, 1.15 * Math.max(sphere.radius, 1e-3) / Math.sin(FIELD / 2 * Math.PI / 180));
  }

  /** The picture is as wide as it is meant to be in a tall canvas too. */
  fit() {
    const half = Math.tan(this.field / 2 * Math.PI / 180);
    this.camera.fov = 2 * Math.atan(half / Math.min(1, this.camera.aspect)) * 180 / Math.PI;
    if (this.reach) {
      const far = this.camera.position.distanceTo(this.reach.center) + 2 * this.reach.radius;
      this.camera.far = 4 * far;
      this.camera.near = far / 500;
    }
    this.camera.updateProjectionMatrix();
  }

  resize(width, height) {
    this.camera.aspect = width / height;
    this.fit();
  }

  /** Turns and moves by keys; reports whether the key was one of them. */
  key(name) {
    const [turn, tilt, closer] = { ArrowLeft: [-1, 0, 1], ArrowRight: [1, 0, 1], ArrowUp: [0, -1, 1], ArrowDown: [0, 1, 1], '+': [0, 0, 0.9], '=': [0, 0, 0.9], '-': [0, 0, 1.1] }[name] ?? [];
    if (turn == null) return false;
    const away = this.camera.position.clone().sub(this.controls.target).multiplyScalar(closer);
    away.applyAxisAngle(new Vector3(0, 1, 0), turn * TURN);
    const side = new Vector3(0, 1, 0).cross(away).normalize();
    const tilted = away.clone().applyAxisAngle(side, tilt * TURN);
    if (Math.abs(tilted.y) < 0.99 * tilted.length()) away.copy(tilted);
    this.camera.position.copy(this.controls.target).add(away);
    this.controls.update();
    this.changed();
    return true;
  }
}
