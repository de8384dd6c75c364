import { instants } from '../../server/calc/zone.js';
import { people, walkLeaders } from '../../server/db/schema/index.js';
import { approveLeader } from '../../server/leaders/store.js';
import { sessionCookie } from '../../server/people/cookies.js';
import { startSession } from '../../server/people/sessions.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveNewWalk } from '../../server/walks/save.js';
import type { TestSite } from './app.js';
import { Browser } from './browser.js';

/** Everyone a route may meet, by what each may do. */
export const VISITORS = ['nobody', 'walker', 'other walker', 'leader', 'other leader', 'co-leader', 'coordinator'] as const;
export type VisitorName = (typeof VISITORS)[number];

export interface Cast {
  browser: (visitor: VisitorName) => Browser;
  /** Person numbers. */
  ids: Record<Exclude<VisitorName, 'nobody'>, number>;
  /** A posted walk that leader leads and co-leader shares. */
  walkId: number;
  draftId: number;
}

export const WALK: Omit<WalkFacts, 'gatherAt' | 'setOffAt'> = {
  areaId: 1,
  routeName: 'Quarry Lakes loop',
  locality: 'Lantern Hills',
  date: '2026-12-05',
  gather: '08:45',
  setOff: '09:00',
  zone: 'America/New_York',
  doubledOffset: null,
  meetingPoint: 'Weir car park',
  landmark: 'by the green ticket machine',
  lat: 41.3,
  lon: -85.1,
  distanceMetres: 13_197,
  ascentMetres: 158.5,
  routeId: null,
  effortMetres: null,
  stops: [],
  surfaces: ['pavement'],
  stepFree: false,
  capacity: 12,
  dogs: true,
  minors: false,
  theme: '',
  directions: '',
  description: '',
  bring: 'Water',
  seenOn: '',
  explained: {},
};

/** A walk's facts with their instants. */
export function walkFacts(changed: Partial<WalkFacts> = {}): WalkFacts {
  const facts = { ...WALK, ...changed };
  const at = (time: string) => instants(facts.date, time, facts.zone)[0] ?? 0;
  return { gatherAt: at(facts.gather), setOffAt: at(facts.setOff), ...facts };
}

/** Lays the cast into a site: people, their roles, one posted walk and one draft. */
export function layCast(site: TestSite): Cast {
  const { db, services, clock } = site;
  const ids = db.write((tx) => {
    const person = (name: string, email: string, coordinator = false) =>
      tx.insert(people).values({ name, email, coordinator, createdAt: clock.now }).returning({ id: people.id }).get().id;
    const coordinator = person('Cora Danner', 'coordinator@waymeet.example', true);
    const leader = (name: string, email: string) =>
      approveLeader(tx, { name, email, phone: '+12025550110', areaId: 1, pledge: 1, month: '2026-11' }, coordinator, clock.now);
    return {
      coordinator,
      walker: person('Wendel Ames', 'walker@waymeet.example'),
      'other walker': person('Olive Reed', 'other@waymeet.example'),
      leader: leader('Lena Marsh', 'leader@waymeet.example'),
      'other leader': leader('Otto Blume', 'second@waymeet.example'),
      'co-leader': leader('Coe Lindgren', 'third@waymeet.example'),
    };
  });
  const walkId = saveNewWalk(services, walkFacts(), ids.leader, 'posted');
  const draftId = saveNewWalk(services, walkFacts({ routeName: 'Ridge in progress' }), ids.leader, 'draft');
  db.write((tx) =>
    tx
      .insert(walkLeaders)
      .values([walkId, draftId].map((id) => ({ walkId: id, personId: ids['co-leader'], part: 'co-leader' as const })))
      .run(),
  );
  return { ids, walkId, draftId, browser: (visitor) => browserOf(site, visitor === 'nobody' ? null : ids[visitor]) };
}

/** A browser in which `personId` is signed in already. */
export function browserOf(site: TestSite, personId: number | null): Browser {
  const browser = new Browser(site.app);
  if (personId === null) return browser;
  const token = site.db.write((tx) => startSession(tx, site.services, personId));
  browser.signIn(sessionCookie(site.config), token, site.services.sealer.derive('form', token));
  return browser;
}
