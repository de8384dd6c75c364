import type { Tx } from '../db/open.js';
import { oweLeft } from '../notices/owe-signing.js';
import type { Services } from '../services.js';
import { fillFreedPlaces } from '../signups/places.js';
import { withdrawIn } from '../signups/store.js';
import { oweContext } from '../walks/save.js';
import type { Person } from '../web/visitor.js';
import { eraseAddress } from './erase.js';
import { areaLed, leaveLeading, tellErased } from './erase-leading.js';
import { leaveParties, mentionsOf } from './erase-signups.js';
import { noteErased, standingSignUps } from './erase-store.js';
import { addressMark } from './marks.js';
import { emptyWal, layTombstones } from './tombstones.js';

/**
 * Erases a person for good, as they wish. The mark beside the database comes first: whatever stops this halfway, the next start goes on
 * with it. Their places go to those who wait; the adults they booked for, and those who booked for them, hear of it.
 */
export function eraseAtOwnWish(services: Services, { id, email }: Pick<Person, 'id' | 'email'>): void {
  const { db, sealer, config } = services;
  const at = services.now();
  layTombstones(config.dataDir, sealer, [{ mark: addressMark(sealer, email), at }]);
  db.write((tx) => {
    // Before anything is erased: who withdraws, or leaves, is known by it. The mail says no more of them than what is left afterwards.
    for (const signUp of standingSignUps(tx, email, at)) withdrawIn(tx, services, signUp.id);
    leaveAndTell(tx, services, email);
    const area = areaLed(tx, id);
    if (area !== null) leaveLeading(tx, services, oweContext(services), id);
    const freed = eraseAddress(tx, services, email, at);
    for (const walkId of freed) fillFreedPlaces(tx, oweContext(services), walkId);
    if (area !== null) tellErased(tx, oweContext(services), id, area);
    noteErased(tx, id, at);
  });
  emptyWal(db);
  services.mailOwed();
}

/** Takes them out of the parties that others booked, and owes each booker the news, as when somebody says themself that they do not come. */
function leaveAndTell(tx: Tx, services: Services, email: string): void {
  const context = oweContext(services);
  const found = mentionsOf(tx, email);
  // Of a cancelled walk nobody expects them.
  const members = found.members.filter((member) => member.walkState === 'posted');
  const left = leaveParties(tx, { ...found, members }, context.now, (signUpId) => withdrawIn(tx, services, signUpId));
  for (const one of left) {
    oweLeft(tx, context, one.signUpId, one);
    fillFreedPlaces(tx, context, one.walkId);
  }
}
