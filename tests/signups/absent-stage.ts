import { asc, eq } from 'drizzle-orm';
import { expect } from 'vitest';
import { notices } from '../../server/db/schema/index.js';
import type { NoticeKind } from '../../server/notices/content.js';
import { mailMaker } from '../../server/notices/mail.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { opened, party } from './opened.js';

export const BEN = 'ben@walkers.example';

/** Ana books for Ben, who is not there, and for Kit, whose guardian he is. */
export function booking(changed: Record<string, string> = {}): Record<string, string> {
  return {
    ...party('ana@walkers.example', 'Ana Ferreira', 'Ben Birch', 'Kit Birch'),
    'members[1][email]': BEN,
    'members[1][signature]': '',
    'members[1][contactName]': '',
    'members[1][contactRelation]': '',
    'members[1][contactPhone]': '',
    'members[2][minor]': 'yes',
    'members[2][guardian]': '1',
    'members[2][signature]': '',
    ...changed,
  };
}

/** What the walk is that Ana books for. */
export const WALK = { routeName: 'Duck pond', minors: true, capacity: 3 };

/** A walk of three places, for which Ana may book for Ben and Kit. */
export async function absentStage() {
  const stage = await opened();
  const { site, cast, nobody } = stage;
  const walkId = saveNewWalk(site.services, walkFacts(WALK), cast.ids.leader, 'posted');
  const mails = (kind: NoticeKind) => site.db.q.select().from(notices).where(eq(notices.kind, kind)).orderBy(asc(notices.id)).all();
  const letter = (row: ReturnType<typeof mails>[number] | undefined) => {
    if (!row) throw new Error('no such mail');
    return mailMaker(site.services, site.views).make(row);
  };
  /** Books, and gives the private page. */
  async function booked(changed: Record<string, string> = {}) {
    const answer = await nobody.post(`/walks/${walkId}/sign-up`, booking(changed));
    expect(answer.status).toBe(303);
    return { own: answer.headers.location ?? '' };
  }
  return { ...stage, walkId, mails, letter, booked };
}
