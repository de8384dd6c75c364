import { lengthWords } from '../calc/measure.js';
import type { Contact } from '../contacts/contact.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import type { partiesOf } from '../signups/party.js';
import { clockOf } from '../strip/clock.js';
import { toHtml, toSpoken } from '../texts/markdown.js';
import { textInForce } from '../texts/store.js';
import { paperClosed, sheetText, unsignedAmong } from '../waivers/paper.js';
import { PAPER_INTENT } from '../waivers/words.js';
import { nearOf } from '../walks/checked.js';
import { arrivalTimes } from '../walks/finish.js';
import type { WalkRow } from '../walks/ledby.js';
import { kindWords } from '../walks/stop-words.js';
import { factsOf, leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { daylight, meetFrame } from '../walks/walk-page.js';
import { wayOf } from '../walks/way.js';
import { weatherModel } from '../weather/model.js';
import { when } from '../web/when.js';
import type { Choice, Part } from './pack.js';
import { layCards, layRows, type Said } from './pack-cards.js';
import { packPoints } from './pack-points.js';
import { leaderRows, type PackRow } from './pack-rows.js';

/** Rows for people who turn up. */
const BLANK_ROWS = 8;

type Parties = ReturnType<typeof partiesOf>;

interface Printing {
  walk: WalkRow;
  choice: Choice;
  parties: Parties;
  rows: PackRow[];
  /** As opened, by member; null where the pack is without them. */
  contacts: ReadonlyMap<number, Contact | null> | null;
}

/** Everything that is printed of a pack: the parts chosen, each null where it is not. */
export function packModel(services: Services, { walk, choice, parties, rows, contacts }: Printing) {
  const { db, settings, now } = services;
  const near = nearOf(services, factsOf(walk));
  const way = wayOf(services, walk, near);
  const weather = weatherModel(db.q, walk, settings(), way.area.emergencyNumber);
  const has = (part: Part) => choice.parts.includes(part);
  const blanks = Array.from({ length: BLANK_ROWS }, (_, index) => rows.length + index + 1);
  return {
    walkTitle: walkTitle(walk, settings().units),
    meet: meetFrame(walk, settings()),
    emergencyNumber: way.area.emergencyNumber,
    leaders: leadersOf(db.q, walk.id),
    printed: when(now(), walk.zone, settings()),
    version: walk.version,
    open: contacts !== null,
    sheet: has('sheet') ? { rows, blanks } : null,
    list: has('list') ? { rows: leaderRows(rows, contacts), blanks } : null,
    cards: cards(services, walk, { has, weather: weather?.headline ?? null }),
    way: has('way') ? { ...way, light: daylight(way.light, walk.zone, settings()), weather } : null,
    emergency: has('emergency')
      ? {
          points: packPoints(walk, near.route?.line ?? null, settings().units),
          place: [...new Set([walk.locality, way.area.name])].filter((name) => name !== '').join(', '),
          cautions: toHtml(textInForce(db.q, 'cautions').body),
          hasRoute: near.route !== null,
        }
      : null,
    incident: has('incident'),
    waivers: has('waivers') ? waivers(services, { walk, parties, blank: choice.blank }) : null,
  };
}

/** The cards to cut out: the briefing's and the back marker's; null where neither is wanted. */
function cards({ db, settings }: Services, walk: WalkRow, { has, weather }: { has: (part: Part) => boolean; weather: string | null }) {
  const briefing = has('briefing')
    ? numbered(layCards([...today(walk, settings(), weather), ...toSpoken(textInForce(db.q, 'briefing').body)]))
    : [];
  const headcount = has('headcount') ? numbered(layRows(countRows(walk, settings()))) : [];
  return briefing.length + headcount.length === 0 ? null : { briefing, headcount };
}

/** "2 of 3" where there are several. */
function numbered<One>(all: One[][]) {
  return all.map((items, index) => ({ items, of: all.length > 1 ? `${index + 1} of ${all.length}` : null, first: index === 0 }));
}

/** What the briefing says of this walk, before what it says of every walk. */
function today(walk: WalkRow, settings: GroupSettings, weather: string | null): Said[] {
  const { units } = settings;
  const { finishFrom, finishTo, setOff } = meetFrame(walk, settings);
  const halts = walk.stops.map(
    (stop) => `${lengthWords(stop.metres, units)} ${stop.name || kindWords(stop.kinds, 'short way').toLowerCase()}`,
  );
  return [
    {
      lead: 'This walk.',
      text: `${lengthWords(walk.distanceMetres, units)}. Off ${setOff.clock}, back between ${finishFrom.clock} and ${finishTo.clock}.`,
    },
    ...(halts.length > 0 ? [{ lead: 'Stops.', text: `${halts.join('; ')}.` }] : []),
    ...(weather === null ? [] : [{ lead: 'Weather.', text: weather }]),
    { lead: 'Back marker:', text: '______________________ We are: ________' },
  ];
}

/** Where the back marker counts: set-off, each stop, finish. */
function countRows(walk: WalkRow, settings: GroupSettings) {
  const times = arrivalTimes(factsOf(walk), settings);
  const clock = clockOf(walk, times.finish.slowest, settings);
  const at = (metres: number) => lengthWords(metres, settings.units);
  return [
    { at: '', name: 'Set off', times: clock.short(walk.setOffAt) },
    ...walk.stops.map((stop, index) => ({
      at: at(stop.metres),
      name: stop.name || kindWords(stop.kinds, 'short way'),
      times: clock.window(times.stops[index] ?? times.finish),
    })),
    { at: at(walk.distanceMetres), name: 'Finish', times: clock.window(times.finish) },
  ];
}

/** The waivers to print: one for each who has yet to sign, and blank ones; why there are none, where nothing can be signed. */
function waivers({ db, settings, now }: Services, { walk, parties, blank }: { walk: WalkRow; parties: Parties; blank: number }) {
  const closed = paperClosed(walk, now());
  if (closed !== null) return { closed, words: '', sheets: [] };
  const moment = { now: now(), settings: settings() };
  const text = sheetText(db.q, walk, moment);
  const sheet = { html: toHtml(text.body), version: text.version, sha256: text.sha256, intent: PAPER_INTENT };
  const named = unsignedAmong(parties, text).filter((member) => member.signing !== null);
  return {
    closed,
    words: `${sheets(named.length)} with a name, ${blank} blank.`,
    sheets: [
      ...named.map(({ name, isMinor, signing }) => ({ ...sheet, name, isMinor, signer: signing?.signerName ?? null })),
      ...Array.from({ length: blank }, () => sheet),
    ],
  };
}

function sheets(count: number): string {
  return count === 1 ? '1 sheet' : `${count} sheets`;
}
