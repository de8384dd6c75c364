/*
 * Which monthly mails are due, written apart from the service: by the calendar on the wall of each zone, leader by leader.
 */

export interface OracleLeader {
  email: string;
  zone: string;
  isApproved: boolean;
  /** When they were last approved, ms. */
  approvedAt: number;
  /** The first month asked of them in this stretch. */
  askedFrom: string;
  wants: boolean;
  excused: Set<string>;
  /** Months of walks that count, one entry a walk. */
  posted: string[];
  decided: Set<string>;
  /** The month of a mail that is owed and has not gone. */
  waiting: Set<string>;
}

const clocks = new Map<string, Intl.DateTimeFormat>();

/** Year-month, day and hour on the wall. */
function wall(at: number, zone: string): { month: string; day: number; hour: number } {
  const clock =
    clocks.get(zone) ??
    new Intl.DateTimeFormat('en-CA', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
    });
  clocks.set(zone, clock);
  const parts = Object.fromEntries(clock.formatToParts(at).map((part) => [part.type, part.value]));
  return { month: `${parts.year}-${parts.month}`, day: Number(parts.day), hour: Number(parts.hour) };
}

export function monthAt(at: number, zone: string): string {
  return wall(at, zone).month;
}

export function following(month: string): string {
  const [year = 0, number = 0] = month.split('-').map(Number);
  return number === 12 ? `${year + 1}-01` : `${year}-${String(number + 1).padStart(2, '0')}`;
}

function isWanted(leader: OracleLeader, month: string): boolean {
  return leader.isApproved && leader.wants && month >= leader.askedFrom && !leader.excused.has(month) && !leader.posted.includes(month);
}

/** The service is up at this instant: it decides what has come due and not been decided. */
export function decide(leaders: OracleLeader[], at: number, day: number): void {
  for (const leader of leaders) {
    const { month, day: today, hour } = wall(at, leader.zone);
    const coming = following(month);
    const hasCome = today > day || (today === day && hour >= 9);
    if (!leader.isApproved || !hasCome || leader.decided.has(coming)) continue;
    leader.decided.add(coming);
    const then = wall(leader.approvedAt, leader.zone);
    const ledThen = then.month < month || then.day < day || (then.day === day && then.hour < 9);
    if (ledThen && isWanted(leader, coming)) leader.waiting.add(coming);
  }
}

/** The mails that go now if the mail server takes them; those that nobody needs any more, or whose month has begun, are forgotten. */
export function going(leaders: OracleLeader[], at: number): { leader: OracleLeader; month: string }[] {
  const found: { leader: OracleLeader; month: string }[] = [];
  for (const leader of leaders)
    for (const month of leader.waiting) {
      if (monthAt(at, leader.zone) >= month || !isWanted(leader, month)) leader.waiting.delete(month);
      else found.push({ leader, month });
    }
  return found;
}
