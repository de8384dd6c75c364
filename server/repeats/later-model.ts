import type { GroupSettings } from '../settings/rules.js';
import { mayTell, mustTell } from '../walks/edit.js';
import { FACT_LABELS } from '../walks/fact-labels.js';
import { when } from '../web/when.js';
import type { LaterPlan } from './plan-later.js';
import { laterFields } from './scope.js';

/**
 * What the preview of an edit shows of the later walks (parts/later.hbs).
 * @param toldFirst the addresses that hear of the edited walk itself: each person is counted once
 */
export function laterModel(later: LaterPlan[], settings: GroupSettings, { isNew, toldFirst }: { isNew: boolean; toldFirst: string[] }) {
  const rows = later.map((plan) => laterRow(plan, settings));
  const told = later.filter((plan) => isTold(plan)).flatMap((plan) => plan.signedUp);
  const people = [...new Map(told.map((row) => [row.email, row.name])).entries()];
  const inAll = new Set([...toldFirst, ...people.map(([email]) => email)]).size;
  return {
    rows,
    isNew,
    hidden: laterFields(later),
    inAll: inAll === 1 ? '1 person' : `${inAll} people`,
    changed: rows.filter((row) => row.changes).length,
    told: people.map(([email, name]) => ({ email, name, walks: told.filter((row) => row.email === email).length })),
    mayTell: later.some((plan) => plan.walk.state === 'posted' && plan.signedUp.length > 0 && mayTell(plan.changed)),
  };
}

function isTold({ walk, changed }: LaterPlan): boolean {
  return walk.state === 'posted' && mustTell(changed);
}

function laterRow(plan: LaterPlan, settings: GroupSettings) {
  const { walk, facts, changed, mine, signedUp } = plan;
  const shown = new Set(plan.differences.map((row) => row.label));
  return {
    id: walk.id,
    date: when(walk.gatherAt, walk.zone, settings).fullDate,
    draft: walk.state === 'draft',
    mine,
    changes: changed.length > 0,
    differences: plan.differences,
    quiet: changed.flatMap((name) => FACT_LABELS[name] ?? []).filter((label) => !shown.has(label)),
    kept: plan.kept,
    found: plan.found.map(({ title }) => title),
    tells: isTold(plan) ? signedUp.length : 0,
    signedUp: signedUp.length,
    pointStays: facts.lat !== null && changed.includes('meetingPoint') && !changed.includes('lat') && !changed.includes('lon'),
  };
}
