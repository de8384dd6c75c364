import { LANTERN_HILLS } from './areas.js';
import type { Someone } from './names.js';
import type { Planned } from './plan.js';
import type { LaidSignUp, LaidWalk } from './rows.js';
import { type Booking, dealer, fillWalk, placesWanted, waitingList } from './sign-ups.js';
import type { Stories } from './stories.js';

const WAITING_SIZES = [2, 1, 2];
/** Every sixth of the last two dozen: some months of a log. */
const WALKER_HAS_BEEN_ON = { walks: 4, every: 6 };

/** Everyone's sign-ups in the order they were made; `walker` is the demo's own, who has two to come and some behind. */
export function demoBookings(
  planned: Planned[],
  walks: LaidWalk[],
  stories: Stories,
  walkers: Someone[],
  walker: Someone,
  booking: Booking,
): LaidSignUp[] {
  const deal = dealer(walkers, booking.chance);
  const { walks: times, every } = WALKER_HAS_BEEN_ON;
  const over = walks.filter((walk) => walk.state === 'closed' && walk.facts.areaId === LANTERN_HILLS.id).slice(-times * every);
  const been = new Set(over.filter((_, index) => (over.length - 1 - index) % every === 0));
  const all = planned.flatMap((plan, index) => {
    const walk = walks[index];
    if (!walk) throw new Error('every planned walk is laid');
    const joins = been.has(walk) || plan === stories.edited || plan === stories.leadersNext;
    const surely = joins ? [plan === stories.leadersNext ? family(walker) : { walker, size: 1 }] : [];
    if (plan !== stories.full) {
      const places = Math.max(placesWanted(walk, booking), toldAbout(plan, stories));
      return fillWalk(walk, { places, surely, deal }, booking);
    }
    const full = fillWalk(walk, { places: walk.facts.capacity, surely, deal }, booking);
    return [...full, ...waitingList(walk, full, WAITING_SIZES, deal, booking)];
  });
  return all.sort((a, b) => a.createdAt - b.createdAt);
}

/** The demo walker's family: someone who has yet to sign by a link of their own, and two children. */
function family(walker: Someone) {
  const members = [
    { name: walker.name, photos: true },
    { name: 'Ines Okonjo', email: 'ines@walkers.example', photos: false },
    { name: 'Kemi Okonjo', minor: true, photos: true },
    { name: 'Ayo Okonjo', minor: true, photos: false },
  ];
  return { walker, size: members.length, members };
}

/** The walks that a story is about have enough people for it to be one. */
function toldAbout(plan: Planned, stories: Stories): number {
  return plan === stories.edited || plan === stories.cancelled || plan === stories.today || plan === stories.leadersNext ? 8 : 0;
}
