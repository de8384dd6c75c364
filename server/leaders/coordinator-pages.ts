import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { addMonths, monthsFrom } from '../calc/month.js';
import { firstAid } from '../joining/first-aid.js';
import { waitingWords } from '../joining/review-model.js';
import { settleApplication } from '../joining/store.js';
import type { Services } from '../services.js';
import { homeZone, monthNow } from '../settings/home.js';
import { shownDate } from '../walks/shown-date.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthName } from '../web/when.js';
import { readLeader } from './form.js';
import { approveLeader, type LeaderMonths, leaderMonths, standDown } from './store.js';
import { comingWalksOf } from './walk-store.js';
import { commitmentWords } from './words.js';

const MONTHS_BEFORE = 4;
const MONTHS_SHOWN = 6;
/** On a phone the month before this one is the first to be seen. */
const PHONE_MONTHS_BEFORE = 1;
const LABELS: Record<string, string> = { name: 'Name', email: 'E-mail', phone: 'Phone', area: 'Area', pledge: 'Walks a month' };

/** The commitment grid, and bringing leaders in. */
export function coordinatorPages(services: Services) {
  const { db, settings, now } = services;

  function grid(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, { pledge: '1' }, {});
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const zone = homeZone(services);
    const month = monthNow(services);
    const months = monthsFrom(addMonths(month, -MONTHS_BEFORE), MONTHS_SHOWN);
    const oldest = addMonths(month, -PHONE_MONTHS_BEFORE);
    const leaders = leaderMonths(db.q, months, now());
    const self = request.visitor.person?.id;
    return page(request, refused ? reply.code(422) : reply, 'coordinate/leaders', {
      title: 'Leaders and their commitment',
      errorTitle: refused,
      months: months.map((one) => ({ ...monthName(one, settings().locale), current: one === month, older: one < oldest })),
      leaders: leaders.map((leader) => ({
        ...leader,
        firstAid: firstAid(leader.firstAidUntil, { now: now(), settings: settings(), zone }),
        stoodDown: leader.standing === 'stood_down',
        mayStandDown: leader.standing === 'approved' && leader.personId !== self,
        months: leader.months.map((one) => ({ ...monthWords(leader, one, month), older: one.month < oldest })),
      })),
      applicationsWaiting: waitingWords(db.q),
      ...asked(request.query as Typed, leaders, self),
      form: { name: line(typed, 'name'), email: line(typed, 'email'), phone: line(typed, 'phone'), pledge: line(typed, 'pledge') },
      areas: allAreas(db.q).map((area) => ({ value: area.slug, label: area.name, selected: area.slug === line(typed, 'area') })),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  /** Nothing is asked any more of a leader who was stood down. */
  function monthWords(leader: LeaderMonths, one: LeaderMonths['months'][number], month: string) {
    if (leader.standing === 'approved' || one.month < month) return commitmentWords(one);
    return { ...commitmentWords(one), word: 'stood down', mark: 'unpledged', pledge: null };
  }

  /** Who is about to be stood down (`?stand-down=`), or was just now (`?done=`), with the walks that this leaves without a leader. */
  function asked(query: Typed, leaders: LeaderMonths[], self: number | undefined) {
    const named = (field: string, standing: LeaderMonths['standing']) =>
      leaders.find((leader) => String(leader.personId) === line(query, field) && leader.standing === standing && leader.personId !== self);
    const [leaving, left] = [named('stand-down', 'approved'), named('done', 'stood_down')];
    return { leaving: leaving && withWalks(leaving), left: left && withWalks(left) };
  }

  function withWalks({ personId, name }: LeaderMonths) {
    const walks = comingWalksOf(db.q, { personId }, now());
    return {
      personId,
      name,
      count: walks.length === 1 ? '1 coming walk' : `${walks.length} coming walks`,
      one: walks.length === 1,
      walks: walks.map((walk) => ({
        href: `/lead/walks/${walk.id}`,
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
    if (Number.isSafeInteger(personId)) db.write((tx) => standDown(tx, personId, request.visitor.person?.id ?? 0, now()));
    return reply.redirect(`/coordinate/leaders?done=${personId}`, 303);
  }

  return { grid, approve, standDown: down };
}
