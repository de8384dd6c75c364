import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { addMonths } from '../calc/month.js';
import { type Grid, gridCsv, gridModel, gridOf } from '../commitment/grid-page.js';
import type { LeaderMonths } from '../commitment/store.js';
import { waitingWords } from '../joining/review-model.js';
import { settleApplication } from '../joining/store.js';
import type { Services } from '../services.js';
import { monthNow } from '../settings/home.js';
import { oweContext } from '../walks/save.js';
import { shownDate } from '../walks/shown-date.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { readLeader } from './form.js';
import { endLeading } from './leaving.js';
import { approveLeader } from './store.js';
import { comingCountOf, comingWalksOf, comingWords } from './walk-store.js';

const LABELS: Record<string, string> = { name: 'Name', email: 'E-mail', phone: 'Phone', area: 'Area', pledge: 'Walks a month' };

/** The commitment grid, and bringing leaders in. */
export function coordinatorPages(services: Services) {
  const { db, settings, now } = services;

  function grid(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, { pledge: '1' }, {});
  }

  function csv(request: FastifyRequest, reply: FastifyReply) {
    const { asked, ...found } = gridOf(services, request.query as Typed);
    const name = `commitment-${asked.months[0]}-${asked.months.at(-1)}.csv`;
    return reply
      .header('Cache-Control', 'no-store')
      .header('Content-Disposition', `attachment; filename="${name}"`)
      .type('text/csv; charset=utf-8; header=present')
      .send(gridCsv(services, { asked, ...found }));
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const query = request.query as Typed;
    const found = gridOf(services, query);
    return page(request, refused ? reply.code(422) : reply, 'commitment/grid', {
      title: 'Leaders and their commitment',
      errorTitle: refused,
      ...gridModel(services, found),
      applicationsWaiting: waitingWords(db.q),
      ...asked(query, found, request.visitor.person?.id),
      form: { name: line(typed, 'name'), email: line(typed, 'email'), phone: line(typed, 'phone'), pledge: line(typed, 'pledge') },
      areas: allAreas(db.q).map((area) => ({ value: area.slug, label: area.name, selected: area.slug === line(typed, 'area') })),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  /** Who is about to be stood down (`?stand-down=`), or was just now (`?done=`), with the walks that this leaves without a leader. */
  function asked(query: Typed, { all }: Grid, self: number | undefined) {
    const named = (field: string, standing: LeaderMonths['standing']) =>
      all.find((leader) => String(leader.personId) === line(query, field) && leader.standing === standing && leader.personId !== self);
    const [leaving, left] = [named('stand-down', 'approved'), named('done', 'stood_down')];
    return { leaving: leaving && withWalks(leaving), left: left && withWalks(left) };
  }

  function withWalks({ personId, name }: LeaderMonths) {
    const walks = comingWalksOf(db.q, { personId }, now());
    const count = comingCountOf(db.q, personId, now());
    return {
      personId,
      name,
      count: comingWords(count),
      one: count === 1,
      more: count - walks.length,
      walks: walks.map((walk) => ({
        href: `/lead/walks/${walk.id}/together`,
        label: `${walk.routeName}, ${shownDate(walk.gatherAt, walk.zone, settings(), now())}`,
      })),
    };
  }

  /** The promise begins with the next month, so that nobody is short on the day they start. */
  function approve(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const read = readLeader(typed, allAreas(db.q), settings().locale);
    if ('faults' in read) return show(request, reply, typed, read.faults);
    const by = request.visitor.person?.id ?? 0;
    db.write((tx) => {
      const personId = approveLeader(tx, { ...read.form, month: addMonths(monthNow(services), 1) }, by, now());
      settleApplication(tx, personId, by, now());
    });
    return reply.redirect('/coordinate/leaders', 303);
  }

  function down(request: FastifyRequest, reply: FastifyReply) {
    const personId = Number((request.params as { person: string }).person);
    if (Number.isSafeInteger(personId)) db.write((tx) => endLeading(tx, oweContext(services), personId, request.visitor.person?.id ?? 0));
    services.mailOwed();
    return reply.redirect(`/coordinate/leaders?done=${personId}`, 303);
  }

  return { grid, csv, approve, standDown: down };
}
