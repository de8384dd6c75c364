import { beforeEach, describe, expect, it } from 'vitest';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { NOON } from '../support/app.js';
import { passingFolder } from '../support/folder.js';
import { APPLY, type Joining, openJoining } from './stage.js';

let stage: Joining;
beforeEach(async () => {
  stage = await openJoining({ DATA_DIR: passingFolder() });
});

const count = (query: string) => stage.site.db.raw.prepare(`SELECT count(*) FROM ${query}`).pluck().get();
const YEAR_ON = Date.UTC(2027, 10, 25, 12);

async function forgetAt(now: number): Promise<void> {
  stage.site.clock.now = now;
  await forgetOnTime(stage.site.services);
}

describe('an application that led to nothing', () => {
  it.each(['withdrawn', 'declined'])('is removed a year after it was %s, and not a millisecond before', async (how) => {
    await stage.apply();
    if (how === 'withdrawn') await stage.cast.browser('walker').post('/lead/join/apply/withdraw');
    else await stage.cast.browser('coordinator').post('/coordinate/applications/1/decline', { words: 'Not yet.' });
    await forgetAt(YEAR_ON - 1);
    expect(count('applications')).toBe(1);
    await forgetAt(YEAR_ON);
    expect(count('applications')).toBe(0);
  });

  it('is told from one that is open, and from one that led to leading', async () => {
    await stage.apply();
    await forgetAt(NOON + 3 * (YEAR_ON - NOON));
    expect(count("applications WHERE state = 'open'")).toBe(1);
    stage.site.clock.now = NOON;
    await stage.cast
      .browser('coordinator')
      .post('/coordinate/applications/1/approve', { pledge: '1', although: 'yes', reason: 'Known to us.' });
    await forgetAt(YEAR_ON + 1);
    expect(count("applications WHERE state = 'approved'")).toBe(1);
  });
});

describe('whoever erases themself', () => {
  it('takes their application along, and the mail that told of it; what they signed stays as evidence', async () => {
    const { site, cast } = stage;
    await stage.apply();
    await stage.sign('walker', 'Wendel Ames');
    await cast.browser('coordinator').post('/coordinate/applications/1/ask', { question: 'Since when?' });
    expect((await cast.browser('walker').post('/me/erase', { sure: 'yes' })).status).toBe(303);
    expect(count('applications')).toBe(0);
    expect(stage.owed()).toEqual([]);
    expect(site.db.raw.prepare('SELECT email, signer_name FROM waivers').all()).toEqual([{ email: '', signer_name: 'Wendel Ames' }]);
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 1, faults: [] });
  });
});

it('someone sees all that they applied with in what is held about them', async () => {
  await stage.apply();
  const { body } = await stage.cast.browser('walker').get('/me.json');
  expect(body).toMatchObject({
    applications: [
      {
        ...{ state: 'open', name: APPLY.name, phone: '+12025550147', area: 'Lantern Hills', otherAreas: ['East Fork'], why: APPLY.why },
        ...{ days: 'Saturday and Sunday', longestMetres: 20_117, question: '', answer: '', words: '', decided: null },
        applied: '2026-11-25T12:00:00.000Z',
      },
    ],
    leader: null,
  });
});
