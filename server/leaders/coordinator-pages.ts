import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { addMonths, monthsFrom } from '../calc/month.js';
import type { Services } from '../services.js';
import { monthNow } from '../settings/home.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthName } from '../web/when.js';
import { readLeader } from './form.js';
import { approveLeader, leaderMonths, standDown } from './store.js';
import { commitmentWords } from './words.js';

const MONTHS_BEFORE = 4;
const MONTHS_SHOWN = 6;
const LABELS: Record<string, string> = { name: 'Name', email: 'E-mail', phone: 'Phone', area: 'Area', pledge: 'Walks a month' };

/** The commitment grid, and bringing leaders in. */
export function coordinatorPages(services: Services) {
  const { db, settings, now } = services;

  function grid(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, { pledge: '1' }, {});
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const month = monthNow(services);
    const months = monthsFrom(addMonths(month, -MONTHS_BEFORE), MONTHS_SHOWN);
    const leaders = leaderMonths(db.q, months, now());
    return page(request, refused ? reply.code(422) : reply, 'coordinate/leaders', {
      title: 'Leaders and their commitment',
      errorTitle: refused,
      months: months.map((one) => ({ ...monthName(one, settings().locale), current: one === month })),
      leaders: leaders.map((leader) => ({
        ...leader,
        stoodDown: leader.standing === 'stood_down',
        isSelf: leader.personId === request.visitor.person?.id,
        months: leader.months.map((one) => ({ ...commitmentWords(one), current: one.month === month })),
      })),
      form: { name: line(typed, 'name'), email: line(typed, 'email'), phone: line(typed, 'phone'), pledge: line(typed, 'pledge') },
      areas: allAreas(db.q).map((area) => ({ value: area.slug, label: area.name, selected: area.slug === line(typed, 'area') })),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function approve(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const read = readLeader(typed, allAreas(db.q), settings().locale);
    if ('faults' in read) return show(request, reply, typed, read.faults);
    const by = request.visitor.person?.id ?? 0;
    db.write((tx) => approveLeader(tx, { ...read.form, month: monthNow(services) }, by, now()));
    return reply.redirect('/coordinate/leaders', 303);
  }

  function down(request: FastifyRequest, reply: FastifyReply) {
    const personId = Number((request.params as { person: string }).person);
    if (Number.isSafeInteger(personId)) db.write((tx) => standDown(tx, personId, request.visitor.person?.id ?? 0, now()));
    return reply.redirect('/coordinate/leaders', 303);
  }

  return { grid, approve, standDown: down };
}
