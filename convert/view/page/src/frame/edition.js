// The frame of an edition: its list of steps, and the step that is shown.
import { el, button, icon } from '../dom.js';
import { json, resolve } from '../data.js';
import { loadModel } from '../scene/model.js';
import { label } from '../scene/labels.js';
import { Stage } from '../scene/stage.js';
import { said, word } from '../words.js';
import { explain } from '../instruction/why.js';
import { caption, hazardStatements, instruction, markRows, readAhead, readStep, sceneNotes, titleOf } from './step.js';
import { notices, remarks } from './notices.js';
import { stepList } from './steps.js';
import { tools } from './tools.js';

const BACK = 'M15 5l-7 7 7 7';
const ON = 'M9 5l7 7-7 7';

export class EditionFrame {
  constructor(plan, entry, bundle) {
    Object.assign(this, { plan, entry, bundle });
    this.folder = `plans/${plan.folder}/${entry.folder}`;
    this.whole = null;
    this.build();
  }

  hrefOf = (step) => `#/${this.plan.folder}/${this.entry.folder}/${step.folder}`;

  build() {
    const { bundle } = this;
    this.steps = stepList(bundle, this.folder, this.hrefOf, (shown, all) => {
      this.count.textContent = shown ? '' : all ? word('noneFound') : `${word('loading')} …`;
    });
    this.count = el('p', { role: 'status', class: 'count' });
    const search = el('input', { type: 'search', id: 'search', 'aria-label': word('search'), placeholder: word('search'), oninput: (e) => this.steps.filter(e.target.value) });
    this.nav = el('nav', { 'aria-label': word('steps'), id: 'steps' }, search, this.count, this.steps.list);
    this.canvas = el('canvas', { tabindex: 0, role: 'img' });
    this.message = el('p', { class: 'message', role: 'status' });
    this.legend = el('p', { class: 'legend', 'aria-hidden': 'true' }, ['focus', 'context', 'picked'].map((r) => el('span', { class: r }, word(r))));
    const holder = el('div', { class: 'canvas' }, this.canvas, this.message, this.legend);
    this.stage = this.makeStage();
    this.tools = tools(this.stage ?? idle, { ...this.actions(), whole: () => this.whole, aligned: () => !this.whole && Boolean(this.step?.registration?.uri), hasWhole: Boolean(bundle.whole) });
    this.title = el('h1', { tabindex: -1 });
    this.head = el('header', { class: 'step-head' }, this.title,
      el('div', { class: 'walk' }, this.back = button(word('previous'), () => this.go(-1), { class: 'previous' }, icon(BACK)), this.on = button(word('next'), () => this.go(1), { class: 'next' }, icon(ON))));
    this.warnings = el('div', { class: 'warnings' });
    this.panel = el('div', { class: 'panel' });
    this.element = el('div', { class: 'edition' }, this.nav,
      el('main', {}, notices(this.plan, this.entry, bundle), this.head, this.warnings,
        el('div', { class: 'work' },
          el('section', { class: 'stage', 'aria-label': word('scene') }, holder, this.tools.element, this.notes = el('ul', { class: 'notes' }), this.caption = el('p', { class: 'caption' })),
          this.panel)));
    this.tools.refresh();
  }

  makeStage() {
    try {
      return new Stage(this.canvas, {
        picked: (node) => this.choose(node ? (n) => (node.part == null ? n.name === node.name : n.part === node.part) : () => false),
        moved: () => this.tools.refresh(),
        drawn: () => this.drawn(),
      });
    } catch (e) {
      this.message.textContent = `${word('sceneFailed')}: ${e.message}`;
      return null;
    }
  }

  /** Shows a step; the first where no folder is given. */
  async show(folder) {
    const steps = this.bundle.steps;
    if (steps.length === 0) {
      this.element.querySelector('main').append(el('p', { class: 'notice-line', role: 'alert' }, word('noSteps')));
      return;
    }
    this.at = folder ? steps.findIndex((s) => s.folder === folder) : 0;
    const entry = steps[this.at] ?? { folder, id: folder };
    this.asked = performance.now();
    this.steps.current(entry.folder);
    this.back.disabled = this.at <= 0;
    this.on.disabled = this.at === steps.length - 1;
    this.whole = null;
    this.element.dataset.drawn = '';
    if (this.at < 0) {
      this.showDamage(entry, word('noSuchStep'));
      return;
    }
    try {
      const step = await readStep(this.folder, entry.folder);
      if (steps[this.at] === entry) await this.showStep(step, entry);
    } catch (e) {
      if (steps[this.at] === entry) this.showDamage(entry, `${word('stepFailed')}: ${e.message}`);
    }
  }

  async showStep(step, entry) {
    this.step = step;
    const n = `${entry.sequence} ${word('of')} ${this.bundle.steps.length}`;
    this.title.replaceChildren(el('small', {}, `${word('step')} ${n}${step.number ? ` · ${step.number}` : ''} · ${step.id}`), titleOf(step));
    document.title = `${said(step.title) || step.id} – ${step.plan.id}`;
    this.warnings.replaceChildren(hazardStatements(step, this.folder, entry.folder) ?? '');
    this.panel.replaceChildren(...instruction(step, this.folder, entry.folder, (is) => this.choose(is)).filter(Boolean), remarks(this.bundle) ?? '');
    this.panel.scrollTop = 0;
    this.caption.textContent = caption(step);
    this.notes.replaceChildren(...sceneNotes(step));
    await this.showScene(step, entry);
  }

  showDamage(entry, what) {
    this.step = null;
    this.title.replaceChildren(el('small', {}, entry.id), entry.title ?? entry.id);
    this.warnings.replaceChildren(el('p', { class: 'notice-line', role: 'alert' }, what));
    this.panel.replaceChildren();
    this.caption.textContent = '';
    this.notes.replaceChildren();
    this.stage?.show(null);
    this.stage?.locator.clear();
    this.stage?.edges.clear();
    this.done(entry);
  }

  async showScene(step, entry) {
    if (!this.stage) return this.done(entry);
    if (!step.scene) {
      this.say(word('noScene'));
      this.stage.show(null);
      this.stage.locator.clear();
      this.stage.edges.clear();
      return this.done(entry);
    }
    this.say(`${word('loading')} …`);
    const folder = `${this.folder}/steps/${entry.folder}`;
    try {
      const model = await loadModel(resolve(folder, step.scene.uri), step.scene.nodes);
      if (this.step !== step || this.whole) return model.dispose();
      this.dispose();
      this.model = model;
      this.stage.show(model);
      label(model, step.tightening);
      this.say('');
      this.describe(step);
    } catch (e) {
      if (this.step !== step) return;
      this.stage.show(null);
      this.say(`${word('sceneFailed')}: ${e.message}`);
      this.element.dataset.failed = 'scene';
    }
    await this.showEdges();
    if (this.step !== step) return;
    this.tools.rest();
    this.tools.refresh();
    this.waiting = entry;
    this.showPlace(step, folder);
  }

  async showPlace(step, folder) {
    const { locator } = this.stage;
    locator.clear();
    if (step.locator) {
      try {
        await locator.load(resolve(folder, step.locator.uri), step.locator.box, () => this.step === step);
      } catch { /* then there is none: the step itself is shown */ }
    }
    this.stage.invalidate();
    this.tools.refresh();
  }

  /** Draws what the step is aligned by, where that is asked for. */
  async showEdges() {
    const { step, stage: { edges } } = this;
    const { uri, position } = step?.registration ?? {};
    const wanted = () => edges.on && !this.whole && this.step === step;
    edges.clear();
    if (uri && wanted()) {
      try {
        await edges.load(resolve(`${this.folder}/steps/${this.bundle.steps[this.at].folder}`, uri), position, wanted);
      } catch (e) {
        if (this.step === step) this.say(e.message);
      }
    }
    this.stage.invalidate();
    this.tools.refresh();
  }

  describe(step) {
    const names = step.scene.nodes.filter((n) => n.role === 'focus').map((n) => n.occurrence ?? n.name);
    this.canvas.setAttribute('aria-label', `${word('scene')}: ${word('focus')}: ${names.slice(0, 12).join(', ')}${names.length > 12 ? ' …' : ''}`);
  }

  dispose() {
    this.stage?.show(null);
    this.model?.dispose();
    this.model = null;
  }

  /** Gives back all that the frame holds: a browser has room for few scenes. */
  close() {
    this.step = null;
    this.dispose();
    this.stage?.close();
  }

  say(text) {
    this.message.textContent = text;
    this.message.hidden = text === '';
    if (text) this.canvas.setAttribute('aria-label', text);
  }

  // Told after each drawing; the first of a step ends the wait for it.
  drawn() {
    if (!this.waiting) return;
    const entry = this.waiting;
    this.waiting = null;
    this.done(entry);
  }

  done(entry) {
    this.element.dataset.drawn = entry.folder;
    this.element.dataset.took = Math.round(performance.now() - this.asked);
    const next = this.bundle.steps[this.at + 1];
    if (next && this.bundle.steps[this.at] === entry) setTimeout(() => readAhead(this.folder, next.folder).catch(() => {}), 200);
  }

  choose(is) {
    this.stage?.select(is);
    markRows(this.panel, (this.step?.scene?.nodes ?? []).filter(is));
  }

  async toggleWhole() {
    if (!this.bundle.whole || !this.stage || !this.step) return;
    const { step } = this;
    if (this.whole) {
      this.whole = null;
      await this.showScene(step, this.bundle.steps[this.at]);
      return;
    }
    this.whole = true;
    this.stage.edges.clear();
    this.say(`${word('loading')} …`);
    try {
      const model = await loadModel(`${this.folder}/whole.gltf`, null);
      if (this.step !== step || !this.whole) return model.dispose();
      model.camera = null;
      model.highlight(step);
      this.dispose();
      this.model = model;
      this.stage.show(model, { all: true });
      this.say('');
    } catch (e) {
      this.say(`${word('sceneFailed')}: ${e.message}`);
    }
    this.tools.refresh();
  }

  go(by) {
    const step = this.bundle.steps[this.at + by];
    if (step) location.hash = this.hrefOf(step);
  }

  /** What keys and tools can do here. */
  actions() {
    const stage = () => this.stage ?? idle;
    return {
      next: () => this.go(1),
      previous: () => this.go(-1),
      play: () => stage().play(),
      focusOnly: () => { stage().set({ focusOnly: !stage().options.focusOnly }); this.tools.refresh(); },
      everything: () => this.toggleWhole(),
      edges: () => { stage().edges.on = !stage().edges.on; if (this.stage) this.showEdges(); },
      reset: () => { stage().reset(); this.tools.rest(); },
      why: () => this.element.querySelectorAll('.why-button').forEach((b) => explain(this.folder, this.bundle.steps[this.at].folder, b.closest('section'), b)),
      search: () => this.nav.querySelector('input').focus(),
    };
  }
}

// Without WebGL there is nothing to do.
const idle = { options: {}, locator: {}, edges: {}, play() {}, set() {}, reset() {}, explode() {}, cut() {}, invalidate() {} };
