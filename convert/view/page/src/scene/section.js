// A plane that cuts the scene open, across one of its axes.
import { Plane, Vector3 } from 'three';

const AXES = { x: new Vector3(-1, 0, 0), y: new Vector3(0, -1, 0), z: new Vector3(0, 0, -1) };

export class Section {
  constructor(renderer, looks) {
    this.renderer = renderer;
    this.looks = looks;
    this.plane = new Plane();
    this.axis = '';
    this.share = 0.5;
  }

  /** Cuts across an axis (none: "") at a share of a box's length. */
  cut(axis, share, box) {
    this.axis = axis;
    this.share = share;
    this.renderer.clippingPlanes = axis ? [this.plane] : [];
    this.looks.cut(axis !== '');
    if (!axis || box.isEmpty()) return;
    const at = box.min.clone().lerp(box.max, share);
    this.plane.setFromNormalAndCoplanarPoint(AXES[axis], at);
  }

  shows(point) {
    return this.axis === '' || this.plane.distanceToPoint(point) >= 0;
  }
}
