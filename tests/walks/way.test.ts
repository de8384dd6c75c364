import { describe, expect, it } from 'vitest';
import { saveSettings } from '../../server/settings/store.js';
import { saveEdit } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { steps, wayOf } from '../../server/walks/way.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';

describe("a walk's way", () => {
  it('is drawn once for each version, and anew where the settings or the area change', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const way = () => wayOf(site.services, walkById(site.db.q, cast.walkId) ?? expect.fail());
    const first = way();
    site.db.write(() => {});
    expect(way().strip).toBe(first.strip);
    const facts = walkFacts({ stops: [{ kinds: ['water'], name: 'Tap', metres: 3000, effortMetres: null, minutes: 5, short: null }] });
    saveEdit(site.services, { walkId: cast.walkId, opened: 1, facts, by: cast.ids.leader, tell: false, post: false });
    expect(way().strip.list.join()).toContain('Tap');
    const second = way();
    site.db.write((tx) => saveSettings(tx, { units: 'km' }));
    expect(way().strip.list.join()).toContain('3.0 km');
    site.db.write((tx) => saveSettings(tx, { units: 'mi' }));
    expect(way().strip).toEqual(second.strip);
    site.db.raw.prepare('UPDATE areas SET lat = 60').run();
    expect(way().strip).not.toBe(second.strip);
  });

  it('numbers the directions itself', () => {
    expect(steps('1. Left at the mill\n\n2) Right\n  3.5 miles on: the weir\n')).toEqual([
      'Left at the mill',
      'Right',
      '3.5 miles on: the weir',
    ]);
  });
});
