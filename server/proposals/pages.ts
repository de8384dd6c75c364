import type { FastifyReply, FastifyRequest } from 'fastify';
import { type AreaRow, allAreas } from '../areas/store.js';
import { candidatesOf } from '../calc/assign-model.js';
import { explain } from '../calc/assign-reasons.js';
import { wallOf } from '../calc/zone.js';
import type { AssignmentSolver } from '../coverage/solve.js';
import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { oweContext } from '../walks/save.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { endAsk } from './asks-store.js';
import { type Filter, proposalsHref, readFilter, WINDOWS } from './filter.js';
import { askedModel, type Kept, proposalModel } from './page-model.js';
import { checkPicks, type PickForm, readPicks } from './picks.js';
import { type Season, seasonFor } from './season.js';
import { sendAsks } from './send.js';
import { solvedWords } from './solved-words.js';
import { walkWords } from './words.js';

/** So long a coordinator waits at most; afterwards the best found is shown. */
const TIME_LIMIT_MS = 5000;

/** Who could lead the walks that are missing: worked out, edited, and sent. */
export function proposalPages(services: Services, solver: AssignmentSolver) {
  const { db, settings, now } = services;

  function show(request: FastifyRequest, reply: FastifyReply) {
    return answer(request, reply, null);
  }

  /** The one wait is for the solver, a process of its own: other pages are answered meanwhile. */
  async function answer(request: FastifyRequest, reply: FastifyReply, refused: { form: PickForm; faults: Faults } | null) {
    const { filter, today, zone, areas } = around(request);
    const season = seasonFor(db.q, services, filter, today);
    const candidates = candidatesOf(season.input);
    const solution = candidates.length === 0 ? null : await solver.solve(season.input, { timeLimitMs: TIME_LIMIT_MS });
    const isFailed = solution?.status === 'failed';
    const explained = solution === null || solution.status === 'failed' ? explain(season.input, candidates, []) : solution;
    const kept: Kept | null = refused && { picks: refused.form.picks, faults: refused.faults };
    const model = proposalModel(explained, { season, settings: settings(), kept });
    const sent = refused ? null : sentWords(line(request.query as Typed, 'sent'));
    const rows = [...model.leaders.flatMap((leader) => leader.rows), ...model.alone];
    return page(request, refused ? reply.code(422) : reply, 'coordinate/proposals', {
      title: 'Proposals',
      errorTitle: refused !== null,
      ...filterModel(filter, areas),
      ...model,
      summary: isFailed ? null : filter.need !== '' && rows.length === 0 ? goneWords(sent) : model.summary,
      all: filter.need === '' ? null : proposalsHref(filter, { need: '' }),
      solved: solution && solvedWords(solution, season.input),
      hasRows: rows.length > 0,
      canSend: rows.some(({ canAsk }) => canAsk),
      more: season.more,
      asked: askedModel(season.asks, settings(), (at) => when(at, zone, settings()).date),
      sent,
      keepsMail: services.config.smtpUrl === undefined,
      action: proposalsHref(filter),
      note: refused?.form.note ?? '',
      faults: refused?.faults ?? {},
      errors: refused && summary(shownFaults(refused.faults, refused.form, model)),
    });
  }

  /** What is asked for, and the date it is in the group's own zone. */
  function around(request: FastifyRequest) {
    const zone = homeZone(services);
    const today = wallOf(now(), zone).date;
    const areas = allAreas(db.q);
    const slugs = areas.map(({ slug }) => slug);
    return { filter: readFilter(request.query as Typed, today.slice(0, 7), slugs), today, zone, areas };
  }

  function filterModel(filter: Filter, areas: Pick<AreaRow, 'slug' | 'name'>[]) {
    return {
      filter: {
        from: filter.isUsual ? '' : (filter.months[0] ?? ''),
        faults: Object.values(filter.faults),
        windows: WINDOWS.toSorted((a, b) => a - b).map((count) => ({
          value: count,
          label: count === 1 ? '1 month' : `${count} months`,
          selected: count === filter.months.length,
        })),
        areas: areas.map(({ slug, name }) => ({ value: slug, label: name, selected: slug === filter.area })),
      },
    };
  }

  /** What is ticked and can be sent is asked for at once, all of it or none. Two coordinators at once: the second is told of what the first sent. */
  function post(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const { filter, today } = around(request);
    if (line(typed, 'takeBack') !== '') return takeBack(reply, filter, line(typed, 'takeBack'));
    const form = readPicks(typed);
    const by = personIn(request);
    const done = db.write((tx) => {
      const season = seasonFor(tx, services, filter, today);
      const names = new Map([...season.leaders].map(([id, { name }]) => [id, name]));
      const checked = checkPicks(form, season.input, { names, asked: askedAlready(season) });
      if ('faults' in checked) return checked;
      const context = { ...oweContext(services), sealer: services.sealer };
      return { sent: sendAsks(tx, context, season, { send: checked.send, by, note: form.note }) };
    });
    if ('faults' in done) return answer(request, reply, { form, faults: done.faults });
    services.mailOwed();
    return reply.redirect(proposalsHref(filter, done), 303);
  }

  function takeBack(reply: FastifyReply, filter: Filter, id: string) {
    if (/^\d{1,15}$/.test(id)) db.write((tx: Tx) => endAsk(tx, Number(id), 'ended', now()));
    return reply.redirect(`${proposalsHref(filter)}#asked`, 303);
  }

  return { show, post };
}

/** Of the one walk that was asked for; nothing where that was done a moment ago. */
function goneWords(sent: string | null): string | null {
  return sent === null ? 'This walk is asked for already, or missing no more.' : null;
}

/** "4 walks", from the address that a sent form leads to; null for any other. */
function sentWords(typed: string): string | null {
  return /^[1-9]\d{0,2}$/.test(typed) ? walkWords(Number(typed)) : null;
}

function askedAlready({ asks }: Season) {
  const asked = new Map<string, { toPersonId: number; name: string }[]>();
  for (const { need, toPersonId, name, standing } of asks)
    if (standing === 'open') asked.set(need, [...(asked.get(need) ?? []), { toPersonId, name }]);
  return asked;
}

/** Each fault beside the row as it is shown now; one whose row is gone stands in the summary alone. */
function shownFaults(faults: Faults, form: PickForm, { leaders, alone }: ReturnType<typeof proposalModel>): Faults {
  const rows = new Map([...leaders.flatMap((one) => one.rows), ...alone].map((row) => [row.need, row.id]));
  return Object.fromEntries(
    Object.entries(faults).map(([field, sentence]) => {
      const pick = form.picks.find(({ row }) => field.startsWith(`rows[${row}][`));
      const id = pick && rows.get(pick.need);
      return [id === undefined ? (pick ? `rows-gone-${pick.row}` : field) : `${id}-ask`, sentence];
    }),
  );
}

function personIn(request: FastifyRequest): { id: number; name: string } {
  const { person } = request.visitor;
  if (!person) throw Problem.forbidden('Sign in first.');
  return person;
}
