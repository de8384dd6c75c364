import type { FastifyReply, FastifyRequest } from 'fastify';
import { wallOf } from '../calc/zone.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { textInForce } from '../texts/store.js';
import { signedIn } from '../walks/led-request.js';
import { type Faults, line, summary, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import { decodeList, type List, MOST_LINES, plainList, readList } from './list.js';
import { bringIn, countInForce, lastLeft, newOnes } from './list-store.js';
import { FILE_INTENT, versionSent } from './words.js';

const LABELS: Record<string, string> = { csv: 'The list', file: 'The file', same: 'The same words', version: 'The text' };
/** A longer list that cannot be read is not sent back to be mended. */
const MOST_KEPT = 100_000;
const NOT_UTF8 = 'This file is not text in UTF-8. Save it as "CSV UTF-8", or paste the list below.';
const TOO_LARGE = 'This file is far too large for a list of people. Split it, each part with the first line on top.';

/** Waivers on file elsewhere: a list is looked through first, and then brought in. */
export function listPages(services: Services) {
  const { db, settings, now } = services;
  const moment = () => ({ now: now(), settings: settings() });

  function form(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, '', {});
  }

  function show(request: FastifyRequest, reply: FastifyReply, csv: string, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const query = request.query as Typed;
    return page(request, refused ? reply.code(422) : reply, 'coordinate/walkers', {
      title: 'Walkers whose waiver is on file elsewhere',
      errorTitle: refused,
      done: refused ? null : outcome(query, signedIn(request)),
      counts: countInForce(db.q, moment()),
      version: textInForce(db.q, 'waiver').version,
      mostLines: MOST_LINES,
      form: { csv },
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  /** What the list that was just brought in came to (`?done=`). */
  function outcome(query: Typed, personId: number) {
    const count = (field: string) => (/^\d{1,6}$/.test(line(query, field)) ? Number(line(query, field)) : 0);
    if (line(query, 'done') === '') return null;
    const [added, known, bad] = [count('done'), count('known'), count('bad')];
    const left = bad > 0 ? lastLeft(db.q, personId) : [];
    return {
      added,
      addedOne: added === 1,
      known,
      knownOne: known === 1,
      bad,
      badOne: bad === 1,
      left,
      more: Math.max(0, bad - left.length),
    };
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const brought = broughtList(request, typed);
    if ('faults' in brought) return show(request, reply, '', brought.faults);
    const list = readList(brought.csv, wallOf(now(), homeZone(services)).date);
    if ('fault' in list) return show(request, reply, brought.csv.length > MOST_KEPT ? '' : brought.csv, { csv: list.fault });
    if (line(typed, 'intent') !== 'import') return look(request, reply, { csv: brought.csv, list, faults: {} });
    const faults = importFaults(typed, textInForce(db.q, 'waiver').version);
    if (Object.keys(faults).length > 0) return look(request, reply, { csv: brought.csv, list, faults });
    const { added, known } = bringIn(services, list, { id: signedIn(request), name: request.visitor.person?.name ?? '' });
    return reply.redirect(`/coordinate/walkers?done=${added}&known=${known}&bad=${list.bad.length}`, 303);
  }

  /** The dry run: what the list would change. */
  function look(request: FastifyRequest, reply: FastifyReply, looked: { csv: string; list: List; faults: Faults }) {
    const { csv, list, faults } = looked;
    const refused = Object.keys(faults).length > 0;
    const fresh = newOnes(db.q, moment(), list.good);
    const known = list.good.length - fresh.length;
    return page(request, refused ? reply.code(422) : reply, 'waivers/list', {
      title: 'What this list would change',
      errorTitle: refused,
      csv,
      fresh,
      freshOne: fresh.length === 1,
      known,
      knownOne: known === 1,
      bad: list.bad,
      badOne: list.bad.length === 1,
      ignored: list.ignored.join(', '),
      version: textInForce(db.q, 'waiver').version,
      same: FILE_INTENT,
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  return { form, post };
}

/** What stands against bringing a list in that was looked through. A program's form that does not say for which version is taken at its word. */
function importFaults(typed: Typed, inForce: number): Faults {
  const seen = line(typed, 'version');
  if (seen === '' || seen === String(inForce)) return ticked(typed, 'same') ? {} : { same: 'Tick this, or do not bring them in.' };
  return {
    version: `The waiver was changed: it is version ${inForce} now, and you looked at ${versionSent(seen)}. Read it, and bring the list in only if the paper on file says the same.`,
  };
}

/** The list as it came: the file where one was chosen, or else what was pasted. */
function broughtList(request: FastifyRequest, typed: Typed): { csv: string } | { faults: Faults } {
  const { upload } = request;
  if (!upload) return { csv: plainList(typeof typed.csv === 'string' ? typed.csv : '') };
  if (upload.pieces === null) return { faults: { file: TOO_LARGE } };
  const text = decodeList(upload.pieces);
  return text === null ? { faults: { file: NOT_UTF8 } } : { csv: plainList(text) };
}
