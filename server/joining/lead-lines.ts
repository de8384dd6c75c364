import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { when } from '../web/when.js';
import { agreementOf } from './agreement-store.js';
import { companionsOf, isFirstShared, isNewLeader } from './first-walk-store.js';
import { isPostingOpen, maySignNow } from './renewal.js';

/** What a leader's own pages say of an agreement that is to be signed. */
export function agreementLine({ db, settings, now }: Services, person: { id: number; email: string }) {
  const agreement = agreementOf(db.q, person);
  const due = agreement && maySignNow(agreement, now()) ? agreement : undefined;
  return { agreementDue: due && { at: when(due.dueAt, homeZone({ db }), settings()), isClosed: !isPostingOpen(due, now()) } };
}

/** The same, and what is said to a new leader of their first walk. */
export function leadLines(services: Services, person: { id: number; email: string; coordinator: boolean }) {
  const { db, now } = services;
  const asksForCompany = isNewLeader(db.q, person.id, now()) && !isFirstShared(db.q, person.id, now());
  return {
    ...agreementLine(services, person),
    firstWalk: asksForCompany ? { companions: companionsOf(db.q, person.id, now()), isCoordinator: person.coordinator } : null,
  };
}
