// The stage: one canvas that shows a step's scene, drawn only when something has changed.
import { AmbientLight, Box3, DirectionalLight, Group, Raycaster, Scene, Vector2, WebGLRenderer } from 'three';
import { Edges } from './edges.js';
import { Locator } from './locator.js';
import { Looks } from './look.js';
import { Motion } from './motion.js';
import { Section } from './section.js';
import { View } from './view.js';
import { union } from './model.js';

export class Stage {
  /** Heard is told of what happens: picked(node or null), moved(), drawn(). */
  constructor(canvas, heard) {
    this.canvas = canvas;
    this.heard = heard;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.autoClear = false;
    this.looks = new Looks();
    this.view = new View(canvas, () => this.invalidate());
    this.section = new Section(this.renderer, this.looks);
    this.locator = new Locator(this.looks);
    this.edges = new Edges(this.looks);
    this.scene = new Scene();
    this.ways = new Group();
    const light = new DirectionalLight(0xffffff, 2.4);
    light.position.set(0.4, 0.7, 1);
    this.view.camera.add(light);
    this.scene.add(new AmbientLight(0xffffff, 1.35), this.view.camera, this.ways, this.edges.group);
    this.picked = new Set();
    this.options = { focusOnly: false, ownColours: false };
    this.follow();
  }

  follow() {
    new ResizeObserver(() => this.resize()).observe(this.canvas.parentElement);
    let down = null;
    this.canvas.addEventListener('pointerdown', (e) => { down = [e.clientX, e.clientY]; });
    this.canvas.addEventListener('pointerup', (e) => {
      if (down && Math.hypot(e.clientX - down[0], e.clientY - down[1]) < 6) this.pick(e);
      down = null;
    });
    this.canvas.addEventListener('keydown', (e) => {
      if (!e.ctrlKey && !e.metaKey && !e.altKey && this.view.key(e.key)) {
        e.preventDefault();
        e.stopPropagation();
      }
    });
    this.dark = matchMedia('(prefers-color-scheme: dark)');
    this.dark.addEventListener('change', this.recolour);
  }

  resize() {
    const { clientWidth: w, clientHeight: h } = this.canvas.parentElement;
    if (!w || !h) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(w, h, false);
    this.view.resize(w, h);
    this.invalidate();
  }

  recolour = () => {
    this.looks.read();
    this.invalidate();
  };

  close() {
    this.dark.removeEventListener('change', this.recolour);
    cancelAnimationFrame(this.asked);
    this.view.controls.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
  }

  /** Shows a model; null clears the stage. */
  show(model, { all = false } = {}) {
    this.clear();
    this.model = model;
    if (model) {
      this.motion = new Motion(model);
      this.scene.add(model.root);
      const { lines, box } = this.motion.ways(this.looks.path);
      if (lines.length) this.ways.add(...lines);
      this.framed = all ? model.bounds : framing(model, box);
      this.motion.some && this.motion.set(0);
      this.section.cut(this.section.axis, this.section.share, model.bounds);
      this.dress();
      for (const p of model.of('focus')) this.looks.outline(p);
      this.view.show(model, this.framed);
    }
    this.invalidate();
  }

  clear() {
    this.motion = null;
    this.ways.children.forEach((l) => l.geometry.dispose());
    this.ways.clear();
    this.model?.root.removeFromParent();
    this.picked.clear();
    this.model = null;
  }

  reset() {
    if (!this.model) return;
    this.explode(0);
    this.view.show(this.model, this.framed);
  }

  explode(share) {
    this.model?.explode(share);
    this.invalidate();
  }

  cut(axis, share) {
    this.section.cut(axis, share, this.model?.bounds ?? new Box3());
    this.invalidate();
  }

  set(options) {
    Object.assign(this.options, options);
    this.dress();
    this.invalidate();
  }

  dress() {
    for (const p of this.model?.parts ?? []) {
      this.looks.dress(p, this.picked.has(p.node.name), this.options.ownColours);
      p.holder.visible = !this.options.focusOnly || p.node.role === 'focus';
    }
  }

  /** Selects the parts for which is holds. */
  select(is) {
    this.picked = new Set((this.model?.parts ?? []).filter((p) => is(p.node)).map((p) => p.node.name));
    this.dress();
    this.invalidate();
  }

  pick(event) {
    if (!this.model) return;
    const r = this.canvas.getBoundingClientRect();
    const at = new Vector2((event.clientX - r.left) / r.width * 2 - 1, 1 - (event.clientY - r.top) / r.height * 2);
    const ray = new Raycaster();
    ray.setFromCamera(at, this.view.camera);
    const meshes = this.model.parts.filter((p) => p.holder.visible).flatMap((p) => p.meshes);
    const hit = ray.intersectObjects(meshes, false).find((h) => this.section.shows(h.point));
    this.heard.picked(hit ? hit.object.userData.part : null);
  }

  /** Plays, or stops. Who wants less motion sees the beginning and the end. */
  play() {
    const m = this.motion;
    if (!m?.some) return;
    if (matchMedia('(prefers-reduced-motion: reduce)').matches) {
      m.set(m.time < m.length ? m.length : 0);
    } else {
      if (!m.playing && m.time >= m.length) m.set(0);
      m.playing = !m.playing;
      this.last = performance.now();
    }
    this.heard.moved();
    this.invalidate();
  }

  invalidate() {
    this.asked ??= requestAnimationFrame((now) => {
      this.asked = null;
      if (this.motion?.playing) {
        this.motion.advance(Math.max(0, now - this.last) / 1000);
        this.last = now;
        this.heard.moved();
        if (this.motion.playing) this.invalidate();
      }
      this.draw();
    });
  }

  draw() {
    const { view, renderer } = this;
    renderer.clear();
    renderer.render(this.scene, view.camera);
    const size = renderer.getSize(new Vector2());
    this.locator.draw(renderer, view.camera, view.controls.target, size.x, size.y);
    this.heard.drawn();
  }
}

// What is to be seen: this step's parts with the way that they take, else everything.
function framing(model, way) {
  const focus = model.of('focus');
  const box = focus.length ? union(focus.map((p) => p.box)) : model.bounds.clone();
  return way.isEmpty() ? box : box.union(way);
}
