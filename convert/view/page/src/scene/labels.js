// The tightening order, written on the parts that are tightened.
import { CanvasTexture, Sprite, SpriteMaterial, SRGBColorSpace, Vector3 } from 'three';

const SIZE = 64; // pixels of the drawing
const SHARE = 0.03; // of the canvas' height, whatever the distance

/** Puts its place in the order on each part that a tightening sequence names. */
export function label(model, tightening = []) {
  const orders = new Map();
  for (const { order, occurrence } of tightening) orders.set(occurrence, [...(orders.get(occurrence) ?? []), order]);
  for (const part of model.parts) {
    const text = orders.get(part.node.occurrence)?.join(' ');
    if (!text) continue;
    const sprite = new Sprite(new SpriteMaterial({ map: drawing(text), sizeAttenuation: false, depthTest: false, transparent: true }));
    sprite.scale.setScalar(SHARE);
    sprite.renderOrder = 1;
    const world = part.object.getWorldScale(new Vector3());
    sprite.scale.divide(world);
    sprite.position.copy(part.centre);
    part.object.add(sprite);
  }
}

function drawing(text) {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = SIZE;
  const c = canvas.getContext('2d');
  c.fillStyle = '#17211e';
  c.beginPath();
  c.arc(SIZE / 2, SIZE / 2, SIZE / 2 - 2, 0, 2 * Math.PI);
  c.fill();
  c.fillStyle = '#fff';
  c.font = `bold ${Math.round(SIZE * (text.length < 3 ? 0.58 : 0.36))}px system-ui, sans-serif`;
  c.textAlign = 'center';
  c.textBaseline = 'middle';
  c.fillText(text, SIZE / 2, SIZE / 2 + 2);
  const texture = new CanvasTexture(canvas);
  texture.colorSpace = SRGBColorSpace;
  return texture;
}
