import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';

const css = (name: string) => readFileSync(join(ROOT, 'views/assets/css', name), 'utf8');

/** The tokens of one scheme, those of the light one where the dark does not say otherwise. */
function tokens(scheme: 'light' | 'dark'): Map<string, string> {
  const [light = '', dark = ''] = css('00-tokens.css').split('@media screen');
  const read = (text: string) =>
    [...text.matchAll(/--([\w-]+):\s*(#[0-9a-f]{3,6})/g)].map((one): [string, string] => [one[1] ?? '', one[2] ?? '']);
  return new Map([...read(light), ...(scheme === 'dark' ? read(dark.split('prefers-contrast')[0] ?? '') : [])]);
}

/** Relative luminance of "#rgb" or "#rrggbb". Source: WCAG 2.2, "relative luminance". */
function luminance(colour: string): number {
  const hex = colour.length === 4 ? [...colour.slice(1)].map((one) => one + one).join('') : colour.slice(1);
  const [red = 0, green = 0, blue = 0] = [0, 2, 4].map((at) => {
    const part = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function contrast(one: string, other: string): number {
  const [light = 0, dark = 0] = [luminance(one), luminance(other)].sort((a, b) => b - a);
  return (light + 0.05) / (dark + 0.05);
}

/** What is read on the roll, on what it stands: text, its ground. */
const PAIRS: [string, string][] = [
  ['ink', 'paper'],
  ['soft', 'paper'],
  ['link', 'paper'],
  ['asphalt', 'hi'],
  ['asphalt', 'amber'],
  ['on-red', 'red'],
  ['ink', 'tint'],
];

describe.each(['light', 'dark'] as const)('the roll in the %s scheme', (scheme) => {
  it.each(PAIRS)('%s on %s is read in the sun: 7 to 1 and more', (text, ground) => {
    const colours = tokens(scheme);
    const [one, other] = [colours.get(text), colours.get(ground)];
    if (!one || !other) throw new Error('no such token');
    expect(contrast(one, other)).toBeGreaterThanOrEqual(7);
  });
});

it("takes no colour but the tokens whose contrast is checked, and the lines' and edges'", () => {
  const used = [...css('82-roll.css').matchAll(/(?:color|background)[\w-]*:\s*([^;]+);/g)].map((one) => one[1]);
  const allowed = [...PAIRS.flat(), 'line'].map((one) => `var(--${one})`);
  expect(used.filter((one) => !allowed.includes(one ?? '') && one !== 'inherit')).toEqual([]);
});
