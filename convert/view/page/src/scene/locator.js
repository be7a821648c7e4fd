// Where the step is in the whole product: a small picture in a corner, turned as the step
// is, with its place marked.
import { AmbientLight, Box3, BoxGeometry, DirectionalLight, EdgesGeometry, LineSegments, Mesh, MeshBasicMaterial, PerspectiveCamera, Scene, Sphere, Vector3 } from 'three';
import { loadModel } from './model.js';

const SHARE = 0.3; // of the canvas' shorter side
const LEAST = 0.12; // of the whole's radius: a mark smaller than that is not seen

export class Locator {
  constructor(looks) {
    this.looks = looks;
    this.scene = null;
    this.on = true;
    this.camera = new PerspectiveCamera(30, 1, 0.01, 100);
    this.light = new DirectionalLight(0xffffff, 2.2);
    this.light.position.set(0.4, 0.7, 1);
    this.fill = new MeshBasicMaterial({ transparent: true, opacity: 0.55, depthTest: false });
  }

  /** Takes the whole from a file, which all steps of an edition share, and marks a box if that is still wanted then. */
  async load(path, [min, max], wanted) {
    if (path !== this.path) {
      this.model = await loadModel(path, null);
      this.path = path;
      this.model.root.traverse((o) => { if (o.isMesh) o.material = this.looks.context; });
    }
    if (!wanted()) return;
    this.scene = new Scene();
    this.sphere = new Box3().setFromObject(this.model.root).getBoundingSphere(new Sphere());
    this.scene.add(this.model.root, this.mark(new Box3(new Vector3(...min), new Vector3(...max))), new AmbientLight(0xffffff, 1.35), this.camera);
    this.camera.add(this.light);
  }

  // What hides the place does not hide the mark.
  mark(box) {
    const size = box.getSize(new Vector3()).max(new Vector3().setScalar(LEAST * this.sphere.radius));
    const shape = new BoxGeometry(...size);
    this.fill.color = this.looks.focus.color;
    const mark = new Mesh(shape, this.fill);
    mark.add(new LineSegments(new EdgesGeometry(shape), this.looks.edges));
    box.getCenter(mark.position);
    mark.renderOrder = 1;
    return mark;
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
    renderer.setScissor(0, 0, size, size);
    renderer.setViewport(0, 0, size, size);
    const { clippingPlanes } = renderer;
    renderer.clippingPlanes = []; // a cut is the step's
    renderer.clear();
    renderer.render(this.scene, this.camera);
    renderer.clippingPlanes = clippingPlanes;
    renderer.setScissorTest(false);
    renderer.setViewport(0, 0, width, height);
  }
}
