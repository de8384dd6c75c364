import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas, homeArea } from '../areas/store.js';
import { differences } from '../notices/difference.js';
import type { Services } from '../services.js';
import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import { type PageModel, page } from '../web/page.js';
import { when } from '../web/when.js';
import { mergeEdits } from './edit.js';
import { FACT_LABELS } from './fact-labels.js';
import type { WalkFacts } from './facts.js';
import { type OffsetChoice, readWalk } from './form.js';
import { typedFrom, walkForm } from './form-page.js';
import { editable, led, signedIn } from './led-request.js';
import type { WalkRow } from './ledby.js';
import { previewPage } from './preview-page.js';
import { saveEdit, saveNewWalk } from './save.js';
import { areaOf, changesSince, factsAt, factsOf, leads, placesTaken, walkById } from './store.js';
import { walkTitle } from './title.js';

/** The pages on which a leader posts, edits, cancels and copies walks. */
export function walkEditing(services: Services) {
  const { db, settings, now } = services;
  const showPreview = previewPage(services);
  const areas = () => allAreas(db.q);

  function showForm(
    request: FastifyRequest,
    reply: FastifyReply,
    typed: Typed,
    about: PageModel & { faults?: Faults; offsets?: OffsetChoice[] },
  ) {
    const { faults = {}, offsets = [], ...rest } = about;
    const model = walkForm(typed, { areas: areas(), settings: settings(), faults, offsets });
    const refused = model.errors !== null;
    return page(request, refused ? reply.code(422) : reply, 'lead/walk-form', {
      ...model,
      narrow: true,
      errorTitle: refused,
      ...rest,
    });
  }

  function newForm(request: FastifyRequest, reply: FastifyReply) {
    const query = request.query as Typed;
    const copied = copyOf(request, line(query, 'copy'));
    const blank: Typed = { capacity: '20', area: homeArea(db.q, signedIn(request))?.slug ?? '' };
    const typed = { ...blank, ...copied?.typed, ...Object.fromEntries(Object.entries(query).filter(([name]) => name !== 'copy')) };
    return showForm(request, reply, typed, {
      title: copied ? 'Copy a walk' : 'Post a walk',
      action: '/lead/walks/new',
      isNew: true,
      copiedFrom: copied?.title,
    });
  }

  /** Another walk's facts for a new date; only of walks the visitor leads, or that are public. */
  function copyOf(request: FastifyRequest, id: string) {
    const walk = id === '' ? undefined : walkById(db.q, Number(id));
    if (!walk || (walk.postedAt === null && !leads(db.q, signedIn(request), walk.id))) return null;
    const area = areaOf(db.q, walk.areaId);
    const typed = typedFrom(factsOf(walk), area.slug, area.zone, settings().units);
    return { typed: { ...typed, date: '', offset: '' }, title: walkTitle(walk, settings().units) };
  }

  function postNew(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const intent = line(typed, 'intent') === 'draft' ? 'draft' : 'post';
    const read = readWalk(typed, { areas: areas(), units: settings().units, now: now(), intent, before: null, confirmed: 0 });
    if ('faults' in read) return showForm(request, reply, typed, { title: 'Post a walk', ...read, action: '/lead/walks/new', isNew: true });
    const id = saveNewWalk(services, read.facts, signedIn(request), intent === 'draft' ? 'draft' : 'posted');
    return reply.redirect(`/lead/walks/${id}`, 303);
  }

  function editForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    editable(walk);
    const area = areaOf(db.q, walk.areaId);
    return showForm(request, reply, typedFrom(factsOf(walk), area.slug, area.zone, settings().units), about(walk));
  }

  function about(walk: WalkRow) {
    const title = walkTitle(walk, settings().units);
    return {
      title: `Edit: ${title}`,
      action: `/lead/walks/${walk.id}/edit`,
      walkId: walk.id,
      version: walk.version,
      isDraft: walk.state === 'draft',
    };
  }

  function postEdit(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    editable(walk);
    const typed = request.body as Typed;
    // A form that does not say which version it shows is taken for an old one: nothing is overwritten unseen.
    const opened = Number(line(typed, 'version') || Number.NaN);
    const base = (Number.isSafeInteger(opened) ? factsAt(db.q, walk.id, opened) : undefined) ?? factsOf(walk);
    const intent = walk.state === 'draft' && line(typed, 'intent') !== 'post' ? 'draft' : 'post';
    const { confirmed } = placesTaken(db.q, walk.id);
    const read = readWalk(typed, { areas: areas(), units: settings().units, now: now(), intent, before: base, confirmed });
    if (Number.isNaN(opened)) return showForm(request, reply, typed, { ...about(walk), faults: { version: UNDATED } });
    if ('faults' in read) return showForm(request, reply, typed, { ...about(walk), version: opened, ...read });
    if (opened !== walk.version) return showMeanwhile(request, reply, { walk, opened, base, mine: read.facts });
    const post = walk.state === 'draft' && line(typed, 'intent') === 'post';
    if (line(typed, 'intent') === 'preview') return showPreview(request, reply, walk, read.facts, typed);
    if (line(typed, 'intent') === 'change') return showForm(request, reply, typed, about(walk));
    const saved = saveEdit(services, {
      walkId: walk.id,
      opened,
      facts: read.facts,
      by: signedIn(request),
      tell: ticked(typed, 'tell'),
      post,
    });
    if (saved === 'changed')
      return showMeanwhile(request, reply, { walk: walkById(db.q, walk.id) ?? walk, opened, base, mine: read.facts });
    return reply.redirect(`/lead/walks/${walk.id}?saved=1`, 303);
  }

  /** Someone saved while this form was open: their changes are shown, ours are kept in the form, nothing is overwritten. */
  function showMeanwhile(
    request: FastifyRequest,
    reply: FastifyReply,
    edit: { walk: WalkRow; opened: number; base: WalkFacts; mine: WalkFacts },
  ) {
    const { walk, opened, base, mine } = edit;
    const theirs = factsOf(walk);
    const { merged, both } = mergeEdits(base, theirs, mine);
    const area = areaOf(db.q, merged.areaId);
    const since = changesSince(db.q, walk.id, opened);
    const meanwhile = {
      by: [...new Set(since.map((change) => change.by ?? 'Waymeet'))].join(' and '),
      at: when(since.at(-1)?.at ?? now(), walk.zone, settings()),
      differences: differences(base, theirs, 'all', settings()),
      both: both.flatMap((name) => FACT_LABELS[name] ?? []),
    };
    const typed = typedFrom(merged, area.slug, area.zone, settings().units);
    return showForm(request, reply.code(422), typed, { ...about(walk), errorTitle: true, meanwhile });
  }

  return { newForm, postNew, editForm, postEdit };
}

const UNDATED = 'This form did not say which version of the walk it was opened at. Check it once more, then save.';
