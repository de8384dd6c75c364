import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { routeById, type StoredRoute } from '../gpx/store.js';
import { differences } from '../notices/difference.js';
import { isForLater } from '../repeats/scope.js';
import { seriesLines } from '../repeats/series-model.js';
import type { Services } from '../services.js';
import { notesOf } from '../standing/store.js';
import { noteTicks } from '../standing/ticks.js';
import { checkModel } from '../walkcheck/model.js';
import type { CheckItem } from '../walkcheck/rules.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { type PageModel, page } from '../web/page.js';
import { when } from '../web/when.js';
import { mergeEdits } from './edit.js';
import { FACT_LABELS } from './fact-labels.js';
import type { WalkFacts } from './facts.js';
import type { OffsetChoice } from './form.js';
import { hiddenFields, typedFrom, walkForm } from './form-page.js';
import { signedIn } from './led-request.js';
import type { WalkRow } from './ledby.js';
import { areaOf, changesSince, factsOf } from './store.js';
import { walkTitle } from './title.js';

interface About extends PageModel {
  faults?: Faults;
  offsets?: OffsetChoice[];
  /** The route the form carries; looked up where the caller has not. */
  route?: StoredRoute | null;
  /** The walk check was asked for: it stands first. */
  checked?: boolean;
  /** What the walk check found, where the form could be read. */
  check?: CheckItem[] | undefined;
}

/** Reasons typed for what the walk check does not show now: the form carries them on. */
function reasonsNotShown(typed: Typed, check: CheckItem[]): { name: string; value: string }[] {
  const shown = new Set(check.filter((item) => item.explain).map((item) => `explain[${item.key}]`));
  return hiddenFields({ explain: typed.explain }).filter((field) => !shown.has(field.name));
}

/** The walk form as a page: blank, refused, or after somebody else saved. */
export function formPage(services: Services) {
  const { db, settings, now } = services;

  function showForm(request: FastifyRequest, reply: FastifyReply, typed: Typed, about: About) {
    const { faults = {}, offsets = [], check, checked, ...rest } = about;
    const id = Number(line(typed, 'route') || Number.NaN);
    const route = about.route ?? (Number.isSafeInteger(id) ? (routeById(db.q, id) ?? null) : null);
    const model = walkForm(typed, { areas: allAreas(db.q), settings: settings(), faults, offsets, route });
    const refused = model.errors !== null;
    return page(request, refused ? reply.code(422) : reply, 'lead/walk-form', {
      ...model,
      check: check ? checkModel(check, { faults }) : null,
      checkFirst: check !== undefined && (checked === true || refused),
      reasons: reasonsNotShown(typed, check ?? []),
      scopeLater: isForLater(typed),
      noteTicks: noteTicks(notesOf(db.q, signedIn(request)), typed),
      narrow: true,
      errorTitle: refused,
      ...rest,
      route: model.route,
    });
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
    return showForm(request, reply.code(422), typed, { ...aboutEdit(walk), errorTitle: true, meanwhile });
  }

  function aboutEdit(walk: WalkRow) {
    return {
      title: `Edit: ${walkTitle(walk, settings().units)}`,
      action: `/lead/walks/${walk.id}/edit`,
      walkId: walk.id,
      version: walk.version,
      isDraft: walk.state === 'draft',
      ...seriesLines(db.q, walk, now(), settings()),
    };
  }

  return { showForm, showMeanwhile, aboutEdit };
}
