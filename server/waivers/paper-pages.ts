import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { readName } from '../signups/name.js';
import { toHtml } from '../texts/markdown.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, several, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { keepPaper, paperClosed, sheetText, type Unsigned, unsignedOf } from './paper.js';
import { PAPER_INTENT, versionSent } from './words.js';

const BLANK_SHEETS = 8;
const MOST_BLANK = 40;
const LABELS: Record<string, string> = { member: 'Who signed', seenBy: 'Seen by', version: 'The text' };

/** Waivers signed on paper on the day of a walk: the sheets to print, and who signed one. */
export function paperPages(services: Services) {
  const { db, settings, now } = services;

  function form(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, { seenBy: request.visitor.person?.name ?? '' }, {});
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { walk } = led(request);
    const refused = Object.keys(faults).length > 0;
    const closed = paperClosed(walk, now());
    const chosen = new Set(several(typed, 'member'));
    const unsigned = closed === null ? unsignedOf(db.q, walk, oweContext(services)) : [];
    return page(request, refused ? reply.code(422) : reply, 'waivers/paper', {
      title: `Waivers on paper: ${walkTitle(walk, settings().units)}`,
      errorTitle: refused,
      narrow: true,
      walk: { id: walk.id },
      closed,
      saved: savedWords(line(request.query as Typed, 'saved')),
      version: sheetText(db.q, walk, oweContext(services)).version,
      members: unsigned.map((member, index) => ({
        // The error summary leads to the first of them.
        id: index === 0 ? 'member' : `member-${member.id}`,
        ...memberModel(member),
        // A guardian who has signed is not listed: nothing to stand under.
        isUnder: member.isMinor && unsigned.some((one) => one.id === member.guardianId),
        checked: chosen.has(String(member.id)),
      })),
      canTick: unsigned.some((member) => member.signing !== null),
      form: { seenBy: line(typed, 'seenBy') },
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    refuseClosed(walk);
    const typed = request.body as Typed;
    // Where everyone has signed by now there is no form to mend.
    if (!unsignedOf(db.q, walk, oweContext(services)).some((member) => member.signing)) return saved(reply, walk, 0);
    const faults = faultsOf(typed, sheetText(db.q, walk, oweContext(services)).version);
    // Whoever was ticked signed the words of before: none is ticked any more.
    if (Object.keys(faults).length > 0) return show(request, reply, faults.version ? { ...typed, member: [] } : typed, faults);
    const members = new Set(several(typed, 'member').map(Number));
    return saved(reply, walk, keepPaper(services, { walk, members, seenBy: line(typed, 'seenBy'), by: signedIn(request) }));
  }

  function saved(reply: FastifyReply, walk: WalkRow, count: number) {
    return reply.redirect(`/lead/walks/${walk.id}/waivers?saved=${count}`, 303);
  }

  function refuseClosed(walk: WalkRow): void {
    const sentence = paperClosed(walk, now());
    if (sentence === null) return;
    const links = [{ href: `/lead/walks/${walk.id}`, label: 'Back to the walk' }];
    throw new Problem(409, { heading: 'Nothing can be signed here', sentence, links });
  }

  function print(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    refuseClosed(walk);
    const text = sheetText(db.q, walk, oweContext(services));
    const blank = blankSheets(line(request.query as Typed, 'blank'));
    const unsigned = unsignedOf(db.q, walk, oweContext(services)).filter((member) => member.signing !== null);
    const sheet = { html: toHtml(text.body), version: text.version, sha256: text.sha256, intent: PAPER_INTENT };
    const named = unsigned.map((member) => ({ ...sheet, ...memberModel(member) }));
    return page(request, reply, 'waivers/print', {
      title: `Waivers to print: ${walkTitle(walk, settings().units)}`,
      walkTitle: walkTitle(walk, settings().units),
      walk: { id: walk.id },
      meet: meetFrame(walk, settings()),
      named: named.length,
      namedOne: named.length === 1,
      blank,
      blankOne: blank === 1,
      mostBlank: MOST_BLANK,
      sheets: [...named, ...Array.from({ length: blank }, () => sheet)],
    });
  }

  return { form, post, print };
}

/** A member as a line to tick and as the head of a sheet. */
function memberModel(member: Unsigned) {
  return {
    memberId: member.id,
    name: member.name,
    isMinor: member.isMinor,
    signer: member.signing?.signerName ?? null,
    bookedBy: member.booker.name === member.name ? null : member.booker.name,
  };
}

function faultsOf(typed: Typed, version: number): Faults {
  const faults: Faults = {};
  const sent = line(typed, 'version');
  if (sent !== String(version))
    faults.version = `The waiver was changed: its text is version ${version} now. Sheets of ${versionSent(sent)} do not count any more: print new ones, and tick only who signed one of those.`;
  else if (several(typed, 'member').length === 0) faults.member = 'Tick who has signed a sheet.';
  readName(line(typed, 'seenBy'), 'seenBy', 'Type the name of whoever saw them sign.', faults);
  return faults;
}

function blankSheets(typed: string): number {
  return /^\d{1,4}$/.test(typed) ? Math.min(Number(typed), MOST_BLANK) : BLANK_SHEETS;
}

function savedWords(typed: string): string | null {
  if (!/^\d{1,4}$/.test(typed)) return null;
  if (Number(typed) === 0) return 'Nothing was added: these signatures are kept already.';
  return Number(typed) === 1 ? 'One signature is kept.' : `${typed} signatures are kept.`;
}
