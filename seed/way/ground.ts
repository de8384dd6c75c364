import type { Chance } from '../chance.js';
import { between, lengthOf, type Spot, step } from './plane.js';

/** How a way lies on the ground. */
export interface Ground {
  shape: 'loop' | 'laps' | 'eight' | 'there and back' | 'one way';
  /** Where it makes for from its start, degrees from north. */
  heading: number;
  /** Of a loop: how wide it is across the heading, against how far it goes along it. Round where it is not said. */
  width?: number;
  /** Of laps: how many. */
  times?: number;
}

const CORNER_EVERY_METRES = 420;
/** A winding way is this much longer than the line it winds about. */
const WINDING = 1.25;
const POINT_EVERY_METRES = 30;
/** No corner turns by more than about 100 degrees: its cosine. */
const SHARPEST_COSINE = -0.2;
const START: Spot = { x: 0, y: 0 };

/** A way of exactly `metres`, from its start, with a spot every 30 m or so. */
export function spotsOf(ground: Ground, metres: number, chance: Chance): Spot[] {
  switch (ground.shape) {
    case 'loop':
      return loop(ground.heading, ground.width ?? 1, metres, chance);
    case 'laps': {
      const times = ground.times ?? 1;
      const lap = loop(ground.heading, ground.width ?? 1, metres / times, chance);
      return [START, ...Array.from({ length: times }, () => lap.slice(1)).flat()];
    }
    case 'eight': {
      const near = loop(ground.heading, ground.width ?? 1, metres / 2, chance);
      return [...near, ...loop(ground.heading + 180, ground.width ?? 1, metres / 2, chance).slice(1)];
    }
    case 'there and back': {
      const out = line(ground.heading, metres / 2, chance);
      return [...out, ...out.slice(0, -1).reverse()];
    }
    case 'one way':
      return line(ground.heading, metres, chance);
  }
}

/** Once round an oval whose near end, at the start, faces the heading. */
function loop(heading: number, width: number, metres: number, chance: Chance): Spot[] {
  const radius = metres / WINDING / (Math.PI * (1 + width));
  const way = chance.happens(0.5) ? 1 : -1;
  const bays = [Math.PI * chance.next(), Math.PI * chance.next()] as const;
  const corners = shares(metres, chance).map((share) => {
    const turned = 2 * Math.PI * share;
    const bulge = 1 + 0.16 * Math.sin(3 * turned + bays[0]) + 0.1 * Math.sin(5 * turned + bays[1]);
    const out = step(START, heading, radius * bulge * (1 - Math.cos(turned)));
    return step(out, heading + 90 * way, radius * bulge * width * Math.sin(turned));
  });
  return drawn([START, ...corners.map((corner) => strayed(corner, metres, chance)), START], metres, chance);
}

/** Along the heading, swinging from side to side as a valley does. */
function line(heading: number, metres: number, chance: Chance): Spot[] {
  const straight = metres / WINDING;
  const swings = Math.max(1, Math.round(metres / 6000));
  const corners = [...shares(metres, chance), 1].map((share) =>
    step(step(START, heading, straight * share), heading + 90, (straight / swings / 5) * Math.sin(2 * Math.PI * swings * share)),
  );
  return drawn([START, ...corners.map((corner) => strayed(corner, metres, chance))], metres, chance);
}

/** Where the corners of a way come, as parts of it: uneven, as junctions are. */
function shares(metres: number, { next }: Chance): number[] {
  const count = Math.max(6, Math.round(metres / CORNER_EVERY_METRES));
  return Array.from({ length: count - 1 }, (_, index) => (index + 1 + (next() - 0.5) * 0.7) / count);
}

function strayed({ x, y }: Spot, metres: number, { next }: Chance): Spot {
  const most = Math.min(CORNER_EVERY_METRES, metres / 8) * 0.8;
  return { x: x + (next() - 0.5) * most, y: y + (next() - 0.5) * most };
}

/** A path through the corners: each piece bows a little to one side. Scaled about the start to the metres asked for. */
function drawn(corners: Spot[], metres: number, chance: Chance): Spot[] {
  const kept = withoutHairpins(corners);
  const path = kept.flatMap((to, index) => {
    const from = kept[index - 1];
    return from ? bowed(from, to, (chance.next() - 0.5) * 0.3) : [to];
  });
  const count = Math.max(2, Math.round(metres / POINT_EVERY_METRES));
  const spots = evenly(path, count);
  const scale = metres / lengthOf(spots);
  return spots.map(({ x, y }) => ({ x: x * scale, y: y * scale }));
}

/** Corners without those at which a path would turn back on itself. */
function withoutHairpins(corners: Spot[]): Spot[] {
  const kept: Spot[] = [];
  for (const [index, corner] of corners.entries()) {
    const [before, after] = [kept.at(-1), corners[index + 1]];
    if (!before || !after || turnsForward(before, corner, after)) kept.push(corner);
  }
  return kept;
}

function turnsForward(before: Spot, corner: Spot, after: Spot): boolean {
  const ahead = (corner.x - before.x) * (after.x - corner.x) + (corner.y - before.y) * (after.y - corner.y);
  return ahead > SHARPEST_COSINE * between(before, corner) * between(corner, after);
}

/** From a corner, without it, to the next: `bow` is how far the middle stands off, as a part of the piece. */
function bowed(from: Spot, to: Spot, bow: number): Spot[] {
  const pieces = Math.max(1, Math.round(between(from, to) / POINT_EVERY_METRES));
  return Array.from({ length: pieces }, (_, index) => {
    const share = (index + 1) / pieces;
    const off = bow * Math.sin(Math.PI * share);
    return { x: from.x + (to.x - from.x) * share - (to.y - from.y) * off, y: from.y + (to.y - from.y) * share + (to.x - from.x) * off };
  });
}

/** The path's first spot, then `count` more at even steps along it, the last at its end. */
function evenly(path: Spot[], count: number): Spot[] {
  const every = lengthOf(path) / count;
  const spots: Spot[] = [];
  let behind = 0;
  for (const [index, to] of path.entries()) {
    const from = path[index - 1] ?? to;
    const piece = between(from, to);
    while (spots.length * every <= behind + piece && spots.length < count) {
      const share = piece === 0 ? 0 : (spots.length * every - behind) / piece;
      spots.push({ x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share });
    }
    behind += piece;
  }
  const last = path.at(-1);
  return last ? [...spots, last] : spots;
}
