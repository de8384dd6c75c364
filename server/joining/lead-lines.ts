import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { when } from '../web/when.js';
import { agreementOf } from './agreement-store.js';
import { companionsOf, isFirstShared, isNewLeader } from './first-walk-store.js';
import { isPostingOpen, maySignNow } from './renewal.js';

/** What a leader's own pages say of their agreement, and to a new leader of their first walk. */
export function leadLines(services: Services, person: { id: number; email: string; coordinator: boolean }) {
  const { db, settings, now } = services;
  const agreement = agreementOf(db.q, person);
  const due = agreement && maySignNow(agreement, now()) ? agreement : undefined;
  const asksForCompany = isNewLeader(db.q, person.id, now()) && !isFirstShared(db.q, person.id, now());
  return {
    agreementDue: due && { at: when(due.dueAt, homeZone(services), settings()), isClosed: !isPostingOpen(due, now()) },
    firstWalk: asksForCompany ? { companions: companionsOf(db.q, person.id, now()), isCoordinator: person.coordinator } : null,
  };
}
