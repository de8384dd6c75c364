import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { owedPreview } from '../../server/notices/owe.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { oweContext } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { walkFacts } from '../support/cast.js';
import { closeStage, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

/** What the leader reads before saving: names, and "label: before > after". */
function preview(change: Partial<WalkFacts>) {
  const { db, services } = stage.site;
  const walk = walkById(db.q, stage.walkId);
  if (!walk) throw new Error('no walk');
  const { signedUp, told, differences, offeredDifferences } = owedPreview(db.q, oweContext(services), walk, walkFacts(change), {
    offered: true,
  });
  const words = (rows: typeof differences) => rows.map((row) => `${row.label}: ${time(row.before)} > ${time(row.after)}`);
  return { signedUp, told: told.map((one) => one.name), differences: words(differences), offered: words(offeredDifferences) };
}
const time = (text: string) => /(\d+:\d+)\s/.exec(text)?.[1] ?? text;

describe('the preview of an edit', () => {
  it('names everyone told and the difference', async () => {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    expect(preview({ gather: '08:00', surfaces: ['sand'] })).toEqual({
      signedUp: 1,
      told: ['Ana'],
      differences: ['Gather: 8:45 > 8:00'],
      offered: ['Underfoot: pavement > sand'],
    });
  });

  it('of an edit that puts back what nobody was told yet: nobody is told', async () => {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    expect(preview({})).toEqual({ signedUp: 1, told: [], differences: [], offered: [] });
    stage.edit({ gather: '08:45' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(1);
  });

  it('of a second edit during the hold: what the one mail will say', async () => {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    expect(preview({ gather: '08:00', meetingPoint: 'North gate' }).differences).toEqual([
      'Gather: 8:45 > 8:00',
      'Meeting point: Weir car park > North gate',
    ]);
  });

  it('leaves out whose confirmation still waits: it will say the new facts', async () => {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    stage.signUp('bo@walkers.example', 'Bo');
    expect(preview({ gather: '08:00' })).toMatchObject({ signedUp: 2, told: ['Ana'] });
  });

  it('shows what each was told, where that differs', async () => {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.signUp('bo@walkers.example', 'Bo');
    await stage.deliver();
    expect(preview({ gather: '07:00' })).toMatchObject({
      told: ['Ana', 'Bo'],
      differences: ['Gather: 8:45 > 7:00', 'Gather: 8:00 > 7:00'],
    });
  });

  it('does not repeat a change that waits where the edit itself need not be told', async () => {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    expect(preview({ gather: '08:00', surfaces: ['sand'] })).toEqual({
      signedUp: 1,
      told: ['Ana'],
      differences: [],
      offered: ['Underfoot: pavement > sand'],
    });
  });

  it('shows the edit itself where nobody has signed up', () => {
    expect(preview({ gather: '08:00' })).toMatchObject({ signedUp: 0, told: [], differences: ['Gather: 8:45 > 8:00'] });
  });
});
