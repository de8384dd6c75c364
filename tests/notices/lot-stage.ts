import ICAL from 'ical.js';
import type { ParsedMail } from 'mailparser';
import { saveWithLater } from '../../server/repeats/save-later.js';
import { keepSignUp } from '../../server/signups/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { factsOf, walkById } from '../../server/walks/store.js';
import { walkFacts } from '../support/cast.js';
import { joinSeries } from '../support/series.js';
import { signUpForm } from '../support/sign-up.js';
import type { Stage } from './stage.js';

/** A series on a stage: the stage's walk on Dec 5, and one on each of some later dates. */
export interface SeriesStage {
  ids: number[];
  signUp: (walkId: number, email: string, people?: number) => number;
  /** Edits a walk and the later ones. */
  editAll: (change: Partial<WalkFacts>, from?: number) => 'saved' | 'changed' | 'later';
  /** Edits one alone. */
  editOne: (walkId: number, change: Partial<WalkFacts>) => void;
  /** The versions of the walks after one, as a form carries them. */
  seenAfter: (walkId: number) => Map<number, number>;
}

export function layStageSeries(stage: Stage, dates = ['2026-12-12', '2026-12-19']): SeriesStage {
  const { site, leaderId } = stage;
  const { services, db } = site;
  const ids = [stage.walkId, ...dates.map((date) => saveNewWalk(services, walkFacts({ date }), leaderId, 'posted'))];
  joinSeries(site, leaderId, ids);
  const walk = (id: number) => {
    const row = walkById(db.q, id);
    if (!row) throw new Error(`no walk ${id}`);
    return row;
  };
  const editOf = (id: number, change: Partial<WalkFacts>) => {
    const { gatherAt: _, setOffAt: __, ...rest } = factsOf(walk(id));
    return { walkId: id, opened: walk(id).version, facts: walkFacts({ ...rest, ...change }), by: leaderId, tell: false, post: false };
  };
  const seenAfter = (id: number) => {
    const later = ids.map(walk).filter((one) => one.gatherAt > Math.max(walk(id).gatherAt, site.clock.now) && one.state === 'posted');
    return new Map(later.map((one) => [one.id, one.version]));
  };
  return {
    ids,
    signUp: (walkId, email, people = 1) => {
      const members = Array.from({ length: people }, () => signUpForm({}).members[0]).filter((member) => member !== undefined);
      const outcome = db.write((tx) => keepSignUp(tx, services, walkId, signUpForm({ email, members })));
      if (!('kept' in outcome)) throw new Error(`refused: ${outcome.refused}`);
      return outcome.kept;
    },
    editAll: (change, from = 0) => {
      const id = ids[from] ?? 0;
      return saveWithLater(services, editOf(id, change), { id: leaderId, coordinator: false }, seenAfter(id));
    },
    editOne: (id, change) => {
      saveEdit(services, editOf(id, change));
    },
    seenAfter,
  };
}

/** What each calendar file of a mail says, as another program reads it. */
export function calendarsOf(mail: ParsedMail): { method: string; uid: string; sequence: number; start: string; location: string }[] {
  return mail.attachments
    .filter((part) => part.contentType === 'text/calendar')
    .map((part) => {
      const calendar = new ICAL.Component(ICAL.parse(part.content.toString()) as unknown[]);
      const [event, ...more] = calendar.getAllSubcomponents('vevent');
      if (!event || more.length > 0) throw new Error('one event a file');
      const read = new ICAL.Event(event);
      return {
        method: String(calendar.getFirstPropertyValue('method')),
        uid: read.uid,
        sequence: read.sequence,
        start: read.startDate.toJSDate().toISOString(),
        location: read.location,
      };
    });
}
