import type { FastifyReply, FastifyRequest } from 'fastify';
import { differences } from '../notices/difference.js';
import { holdOf, isUrgent } from '../notices/due.js';
import { laterModel } from '../repeats/later-model.js';
import type { LaterPlan } from '../repeats/plan-later.js';
import type { Services } from '../services.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { FACT_LABELS } from './fact-labels.js';
import type { WalkFacts } from './facts.js';
import { hiddenFields } from './form-page.js';
import type { WalkRow } from './ledby.js';
import { previewEdit } from './save.js';
import { factsOf } from './store.js';
import { walkTitle } from './title.js';

/** What an edit makes of the later walks of its series; `isNew` where they are not as the leader saw them. */
export interface ForLater {
  later?: LaterPlan[];
  isNew?: boolean;
}

/** Before an edit is saved: the exact difference, and who will be told. */
export function previewPage(services: Services) {
  const { settings, now } = services;
  return function showPreview(
    request: FastifyRequest,
    reply: FastifyReply,
    walk: WalkRow,
    facts: WalkFacts,
    typed: Typed,
    series: ForLater | null = null,
  ) {
    const { changed, preview, mustTell, mayTell } = previewEdit(services, walk, facts);
    const tells = mustTell && preview.told.length > 0;
    const toldFirst = tells ? preview.told.map((row) => row.email) : [];
    const later = series?.later ? laterModel(series.later, settings(), { isNew: series.isNew === true, toldFirst }) : null;
    const holdMs = holdFor(walk, facts, now(), holdOf(services.config, settings()));
    return page(request, reply, 'lead/preview', {
      title: `Before you save the ${walkTitle(facts, settings().units)}`,
      action: `/lead/walks/${walk.id}/edit`,
      hidden: hiddenFields(typed).filter((field) => !['intent', 'csrf', 'tell'].includes(field.name) && !field.name.startsWith('later[')),
      nothing: changed.length === 0,
      quiet: changed.flatMap((name) => FACT_LABELS[name] ?? []),
      ...preview,
      edit: editDifferences(services, walk, facts),
      tellCount: preview.told.length,
      mustTell,
      nobody: preview.signedUp === 0,
      silent: mustTell && preview.signedUp > 0 && preview.told.length === 0,
      tells,
      pointStays: walk.lat !== null && changed.includes('meetingPoint') && !changed.includes('lat') && !changed.includes('lon'),
      mayTell,
      mayAsk: (mayTell && preview.signedUp > 0) || later?.mayTell === true,
      hold: holdWords(holdMs),
      held: holdMs > 0,
      one: preview.told.length === 1,
      walkId: walk.id,
      later,
      errorTitle: series?.isNew === true,
      saveAs: line(typed, 'intent') === 'post' ? 'post' : 'save',
    });
  };
}

/** What this edit itself changes, whoever is told what. */
function editDifferences(services: Services, walk: WalkRow, facts: WalkFacts) {
  return differences(factsOf(walk), facts, 'always', services.settings());
}

/** No hold where gathering, as it was or as it will be, is within a day. */
function holdFor(walk: WalkRow, facts: WalkFacts, now: number, holdMs: number): number {
  return isUrgent(now, [walk.gatherAt, facts.gatherAt]) ? 0 : holdMs;
}

function holdWords(holdMs: number): string {
  if (holdMs === 0) return 'as soon as you save';
  const minutes = Math.round(holdMs / 60_000);
  if (minutes === 0) return 'within a minute of saving';
  return minutes === 1 ? 'one minute after you save' : `${minutes} minutes after you save`;
}
