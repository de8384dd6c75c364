import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas, homeArea } from '../areas/store.js';
import { wallOf } from '../calc/zone.js';
import { hazardWords } from '../day/hazard-words.js';
import { hazardsOn } from '../day/hazards-store.js';
import { stopsCounted } from '../day/under-way.js';
import type { RouteReader } from '../gpx/reader.js';
import { leadLines } from '../joining/lead-lines.js';
import { mayPost, mayPostDraft } from '../joining/posting.js';
import { planLater } from '../repeats/plan-later.js';
import { saveWithLater } from '../repeats/save-later.js';
import { isForLater, versionsSeen } from '../repeats/scope.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { minorsOn } from '../signups/party.js';
import { NOTE_FIELDS } from '../standing/rules.js';
import { type CheckItem, unexplained } from '../walkcheck/rules.js';
import { line, type Typed, ticked } from '../web/forms.js';
import { aside } from './asides.js';
import { checkOf, nearOf } from './checked.js';
import type { WalkFacts } from './facts.js';
import { readWalk, type WalkFormFacts } from './form.js';
import { typedFrom } from './form-page.js';
import { editable, editorOf, led, signedIn } from './led-request.js';
import type { WalkRow } from './ledby.js';
import { type PostedForm, walkFormReader } from './posted-form.js';
import { previewPage } from './preview-page.js';
import { saveEdit, saveNewWalk } from './save.js';
import { formPage } from './show-form.js';
import { areaOf, factsAt, factsOf, leads, placesTaken, walkById } from './store.js';
import { walkTitle } from './title.js';
import type { Whose } from './walks-around.js';

/** The pages on which a leader posts, edits and copies walks. */
export function walkEditing(services: Services, reader: RouteReader) {
  const { db, settings, now } = services;
  const readForm = walkFormReader(services, reader);
  const showPreview = previewPage(services);
  const { showForm, showMeanwhile, aboutEdit } = formPage(services);
  const aboutNew = { title: 'Post a walk', action: '/lead/walks/new', isNew: true };

  function newForm(request: FastifyRequest, reply: FastifyReply) {
    // A link may fill the form, but not with a route: whose it is, only a posted form is asked.
    const { copy: _, route: __, ...query } = request.query as Typed;
    const copied = copyOf(request, line(request.query as Typed, 'copy'));
    const blank: Typed = { capacity: '20', area: homeArea(db.q, signedIn(request))?.slug ?? '' };
    const typed = { ...blank, ...copied?.typed, ...query };
    const { person } = request.visitor;
    const lines = person ? leadLines(services, person) : {};
    return showForm(request, reply, typed, {
      ...aboutNew,
      ...lines,
      ...(copied ? { title: 'Copy a walk', copiedFrom: copied.title, hazards: copied.hazards } : {}),
    });
  }

  /** Another walk's facts for a new date; only of walks the visitor leads, or that are public. */
  function copyOf(request: FastifyRequest, id: string) {
    const walk = id === '' ? undefined : walkById(db.q, Number(id));
    if (!walk || (walk.postedAt === null && !leads(db.q, signedIn(request), walk.id))) return null;
    const area = areaOf(db.q, walk.areaId);
    const typed = typedFrom(factsOf(walk), area.slug, area.zone, settings().units);
    // When the route was last seen is for each walk to say anew.
    const hazards = hazardsOn(db.q, walk).map((one) => hazardWords(one, area.zone, settings()));
    return { typed: { ...typed, date: '', offset: '', seenOn: '' }, title: walkTitle(walk, settings().units), hazards };
  }

  /** Reads what was posted, and looks it over. */
  function readPosted(posted: PostedForm, about: About) {
    const { intent, before, of, postedSetOffAt = null } = about;
    const confirmed = of.walkId === null ? 0 : placesTaken(db.q, of.walkId).confirmed;
    const minorsSignedUp = of.walkId === null ? 0 : minorsOn(db.q, of.walkId, before?.date ?? '');
    const countedStops = of.walkId === null ? 0 : stopsCounted(db.q, of.walkId);
    const today = wallOf(now(), homeZone(services)).date;
    const given = {
      areas: allAreas(db.q),
      units: settings().units,
      now: now(),
      today,
      intent,
      before,
      postedSetOffAt,
      countedStops,
      confirmed,
      minorsSignedUp,
      route: posted.route,
    };
    const read = readWalk(posted.typed, given);
    const found = Object.keys(posted.faults).length > 0;
    if ('faults' in read) return { faults: { ...read.faults, ...posted.faults }, offsets: read.offsets };
    const check = checkOf(services, read.facts, { ...nearOf(services, read.facts), route: posted.route }, of);
    if (found) return { faults: posted.faults, offsets: [], check };
    return { facts: read.facts, check };
  }

  async function postNew(request: FastifyRequest, reply: FastifyReply) {
    const posted = await readForm(request, null);
    const named = line(posted.typed, 'intent');
    // Where posting is closed, what was typed is kept all the same: as a draft.
    const intent = named === 'draft' || !mayPost(db.q, signedIn(request), now()) ? 'draft' : 'post';
    const read = readPosted(posted, { intent, before: null, of: { walkId: null, leaderId: signedIn(request) } });
    const changed = aside(named, posted.typed, posted.route, settings().units);
    if (changed) return showForm(request, reply, changed, { ...aboutNew, ...asked(named, read), route: posted.route });
    if ('faults' in read) return showForm(request, reply, posted.typed, { ...aboutNew, ...read, route: posted.route });
    const open = intent === 'post' && showsCheck(posted) ? unexplained(read.check) : [];
    if (open.length > 0) return showForm(request, reply, posted.typed, { ...aboutNew, ...toMend(read.check, open), route: posted.route });
    const id = saveNewWalk(services, withReasons(read.facts, read.check), signedIn(request), intent === 'draft' ? 'draft' : 'posted');
    return reply.redirect(`/lead/walks/${id}`, 303);
  }

  function editForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    editable(walk);
    const facts = factsOf(walk);
    const near = nearOf(services, facts);
    const { area, route } = near;
    const check = checkOf(services, facts, near, whose(walk, signedIn(request)));
    return showForm(request, reply, typedFrom(facts, area.slug, area.zone, settings().units), { ...aboutEdit(walk), check, route });
  }

  async function postEdit(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    editable(walk);
    const posted = await readForm(request, walk.routeId);
    const { typed } = posted;
    const named = line(typed, 'intent');
    // A form that does not say which version it shows is taken for an old one: nothing is overwritten unseen.
    const opened = Number(line(typed, 'version') || Number.NaN);
    const base = (Number.isSafeInteger(opened) ? factsAt(db.q, walk.id, opened) : undefined) ?? factsOf(walk);
    const posts = walk.state === 'draft' && named === 'post' && mayPostDraft(db.q, walk.id, now());
    const intent = walk.state === 'draft' && !posts ? 'draft' : 'post';
    const postedSetOffAt = walk.state === 'posted' ? walk.setOffAt : null;
    const read = readPosted(posted, { intent, before: base, of: whose(walk, signedIn(request)), postedSetOffAt });
    const about = { ...aboutEdit(walk), route: posted.route };
    if (Number.isNaN(opened)) return showForm(request, reply, typed, { ...about, faults: { version: UNDATED } });
    const changed = aside(named, typed, posted.route, settings().units);
    if (changed) return showForm(request, reply, changed, { ...about, version: opened, ...asked(named, read) });
    if ('faults' in read) return showForm(request, reply, typed, { ...about, version: opened, ...read });
    if (opened !== walk.version) return showMeanwhile(request, reply, { walk, opened, base, mine: read.facts });
    const open = intent === 'post' && showsCheck(posted) ? newlyOpen(walk, read.check, signedIn(request)) : [];
    if (open.length > 0) return showForm(request, reply, typed, { ...about, version: opened, ...toMend(read.check, open) });
    const facts = withReasons(read.facts, read.check);
    const series = forLater(request, walk, facts, typed);
    if (series?.refused) return showForm(request, reply, typed, { ...about, version: opened, faults: { scope: series.refused } });
    if (named === 'preview' || series?.seen === null) return showPreview(request, reply, walk, facts, typed, series);
    const edit = { walkId: walk.id, opened, facts, by: signedIn(request), tell: ticked(typed, 'tell'), post: posts };
    const saved = series?.seen ? saveWithLater(services, edit, series.editor, series.seen) : saveEdit(services, edit);
    if (saved === 'later') return showPreview(request, reply.code(422), walk, facts, typed, { ...series, isNew: true });
    if (saved === 'changed')
      return showMeanwhile(request, reply, { walk: walkById(db.q, walk.id) ?? walk, opened, base, mine: read.facts });
    return reply.redirect(`/lead/walks/${walk.id}?saved=1`, 303);
  }

  /** What an edit makes of the later walks of its series, where the form is about them, too; else null. */
  function forLater(request: FastifyRequest, walk: WalkRow, facts: WalkFacts, typed: Typed) {
    if (!isForLater(typed)) return null;
    const editor = editorOf(request);
    const later = planLater(services, walk, { base: factsOf(walk), mine: facts }, editor);
    if (later.length === 0) return null;
    const refused = later.flatMap((plan) => (plan.refused === '' ? [] : [plan.refused])).join(' ');
    return { later, editor, refused, seen: versionsSeen(typed), isNew: false };
  }

  /** What an edit must mend. Of a posted walk only what was not so before: a meeting point can be moved in a hurry. */
  function newlyOpen(walk: WalkRow, check: CheckItem[], by: number): CheckItem[] {
    const open = unexplained(check);
    if (walk.state === 'draft' || open.length === 0) return open;
    const facts = factsOf(walk);
    const before = unexplained(checkOf(services, facts, nearOf(services, facts), whose(walk, by)));
    return open.filter((item) => !before.some((one) => one.key === item.key && one.title === item.title));
  }

  return { newForm, postNew, editForm, postEdit };
}

/**
 * Whether the form sent is one that shows the walk check, and so can mend or explain what it finds. One from before, still open in a tab,
 * or a program's, is not held up by it: the leader's page shows what was found.
 */
function showsCheck({ typed }: PostedForm): boolean {
  return ticked(typed, 'walkCheck');
}

/** What a posted form is read for. */
interface About extends Pick<WalkFormFacts, 'intent' | 'before'>, Partial<Pick<WalkFormFacts, 'postedSetOffAt'>> {
  of: Whose;
}

type Read = { faults: Record<string, string>; offsets: { value: string; at: number }[]; check?: CheckItem[] } | { check: CheckItem[] };

/** A button within the form only shows what it was asked for: faults wait, but for those of the file just chosen, until the form is sent. */
function asked(intent: string, read: Read) {
  const { check } = read;
  if (!('faults' in read)) return { check, checked: intent === 'check' };
  const shown = intent === 'notes' ? ['gpx', ...Object.keys(NOTE_FIELDS)] : ['gpx'];
  const faults =
    intent === 'check' ? read.faults : Object.fromEntries(Object.entries(read.faults).filter(([field]) => shown.includes(field)));
  return { check, faults, offsets: read.offsets };
}

/** Each thing to mend is a fault beside its reason, or at its field. */
function toMend(check: CheckItem[], open: CheckItem[]) {
  const faults = Object.fromEntries(open.map((item) => [item.explain ? `explain[${item.key}]` : item.href, item.title]));
  return { check, faults };
}

function whose(walk: WalkRow, leaderId: number): Whose {
  return { walkId: walk.id, leaderId, when: walk.state === 'draft' ? 'draft' : 'posted' };
}

/** Only reasons for what the check still finds are kept. */
function withReasons(facts: WalkFacts, check: CheckItem[]): WalkFacts {
  const standing = new Set(check.filter((item) => item.explain).map((item) => item.key));
  return { ...facts, explained: Object.fromEntries(Object.entries(facts.explained).filter(([key]) => standing.has(key))) };
}

const UNDATED = 'This form did not say which version of the walk it was opened at. Check it once more, then save.';
