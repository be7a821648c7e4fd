// Where the step is in the whole product: a small picture in a corner, turned as the step
// is, with its place marked.
import { AmbientLight, Box3, Box3Helper, DirectionalLight, PerspectiveCamera, Scene, Sphere, Vector3 } from 'three';
import { loadModel } from './model.js';

const SHARE = 0.24; // of the canvas' shorter side

export class Locator {
  constructor(looks) {
    this.looks = looks;
    this.scene = null;
    this.on = true;
    this.camera = new PerspectiveCamera(30, 1, 0.01, 100);
    this.light = new DirectionalLight(0xffffff, 2.2);
  }

  /** Takes the whole from a file, which all steps of an edition share, and marks a box. */
  async load(path, [min, max]) {
    if (path !== this.path) {
      this.model = await loadModel(path, null);
      this.path = path;
      for (const p of this.model.parts) this.looks.dress(p, false, false);
    }
    this.scene = new Scene();
    this.mark = new Box3Helper(new Box3(new Vector3(...min), new Vector3(...max)), this.looks.picked.color);
    this.mark.material.depthTest = false;
    this.scene.add(this.model.root, this.mark, new AmbientLight(0xffffff, 1.6), this.camera);
    this.camera.add(this.light);
    this.sphere = new Box3().setFromObject(this.model.root).getBoundingSphere(new Sphere());
  }

  clear() {
    this.scene = null;
  }

  /** Draws into the lower left corner, looking as the camera does. */
  draw(renderer, camera, target, width, height) {
    if (!this.scene || !this.on) return;
    const size = Math.round(Math.min(width, height) * SHARE);
    const back = camera.position.clone().sub(target).normalize();
    this.camera.position.copy(this.sphere.center).addScaledVector(back, this.sphere.radius / Math.sin(Math.PI / 12));
    this.camera.up.copy(camera.up);
    this.camera.lookAt(this.sphere.center);
    this.camera.far = 10 * this.sphere.radius;
    this.camera.near = this.sphere.radius / 10;
    this.camera.updateProjectionMatrix();
    renderer.setScissorTest(true);
    renderer.setScissor(8, 8, size, size);
    renderer.setViewport(8, 8, size, size);
    renderer.clearDepth();
    renderer.render(this.scene, this.camera);
    renderer.setScissorTest(false);
    renderer.setViewport(0, 0, width, height);
  }
}
