// The motion of a step's parts: played, held, or put at any instant; and the way that each
// takes, as a line.
import { AnimationMixer, Box3, BufferGeometry, Line } from 'three';

const WAY = 24; // instants at which a way is looked at

export class Motion {
  constructor(model) {
    this.model = model;
    this.mixer = new AnimationMixer(model.root);
    this.length = Math.max(0, ...model.clips.map((c) => c.duration));
    for (const clip of model.clips) this.mixer.clipAction(clip).play();
    this.time = 0;
    this.playing = false;
  }

  get some() {
    return this.length > 0;
  }

  /** Puts all at an instant. At the very end a mixer begins anew, so that it stays just before. */
  set(time) {
    this.time = Math.min(Math.max(time, 0), this.length);
    this.mixer.setTime(Math.min(this.time, this.length - 1e-4));
  }

  /** Moves on by a time; reports whether there is more to come. */
  advance(seconds) {
    this.set(this.time + seconds);
    this.playing = this.time < this.length;
    return this.playing;
  }

  /** The ways that the moved parts take home, as lines, with all that they pass through. */
  ways(material) {
    if (!this.some) return { lines: [], box: new Box3() };
    const moved = this.model.of('focus');
    const points = moved.map(() => []);
    const box = new Box3();
    for (let i = 0; i <= WAY; i++) {
      this.set(this.length * i / WAY);
      this.model.root.updateMatrixWorld(true);
      moved.forEach((part, k) => {
        points[k].push(part.object.localToWorld(part.centre.clone()));
        if (i === 0) box.expandByObject(part.object);
      });
    }
    const lines = points.filter((p) => p[0].distanceTo(p.at(-1)) > 1e-5).map((p) => new Line(new BufferGeometry().setFromPoints(p), material));
    return { lines, box };
  }
}
