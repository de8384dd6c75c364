import { z } from 'zod';

const MINUTE_MS = 60_000;

/** What the group may change, with its defaults. Paces are minutes a mile on the flat (common practice, no source). */
export const groupSettings = z.object({
  groupName: z.string().default(''),
  eventName: z.string().default(''),
  /** First day of the event people train for, YYYY-MM-DD; empty where none is set. */
  eventDay: z.string().default(''),
  /** How many days the event lasts; the season ends with the last. */
  eventDays: z.number().int().default(2),
  /** When the event's days were last set, ms: a day that was over already when it was set ends no season. */
  eventSetAt: z.number().int().default(0),
  /** When the last season that is over ended, ms; 0 where none is. Kept when the next event is set. */
  pastSeasonEnd: z.number().int().default(0),
  /** Metres of one day of the event; 0: no season is planned. */
  eventDayMetres: z.number().int().default(0),
  /** Weeks that people train for it, the event's own among them. */
  seasonWeeks: z.number().int().default(16),
  /** Walks of the plan from Monday to Friday, each week. */
  weekdayWalks: z.number().int().default(2),
  /** A walk suits one of the plan that differs from it by this share of the plan's length, or by so many metres where that is more (common practice, no source). */
  slotToleranceShare: z.number().default(0.15),
  slotToleranceMetres: z.number().int().default(1609),
  /** How often the plan was changed, and when it last was, ms: calendars take a walk of it anew only under a higher number. */
  planVersion: z.number().int().default(0),
  planChangedAt: z.number().int().default(0),
  units: z.enum(['mi', 'km']).default('mi'),
  clock: z.union([z.literal(12), z.literal(24)]).default(12),
  locale: z.string().default('en-US'),
  slowPace: z.number().default(24),
  fastPace: z.number().default(15),
  /** Walks an area should have each month outside the season plan. */
  floorWalks: z.number().int().default(2),
  noticeHoldMs: z
    .number()
    .int()
    .default(3 * MINUTE_MS),
  /** The day of the month on which leaders with nothing posted for the next are mailed, 1 to 28; 0: never. */
  commitmentDay: z.number().int().default(20),
  /** Emergency details open to a walk's leaders this many hours before gathering. */
  contactsFromHours: z.number().int().default(24),
  /** And stay open this many hours after the walk is closed. */
  contactsUntilHours: z.number().int().default(24),
  /** Emergency details are removed this many days after the walk. */
  contactsKeptDays: z.number().int().default(30),
  /** Questions that an attempt at the leaders' quiz asks. */
  quizQuestions: z.number().int().default(10),
  /** How many per cent of them must be right to pass. */
  quizPassPercent: z.number().int().default(80),
  /** A leader's agreement is signed anew after so many months. */
  agreementMonths: z.number().int().default(12),
  /** Walks a month that a proposal may ask of a leader beyond the pledge. */
  overPledge: z.number().int().default(1),
  /** Whether a leader is proposed for no more than one walk a weekend. */
  oneAWeekend: z.boolean().default(true),
  /** How far from the centre of the home area a leader is proposed for, metres; 0: any distance. */
  farthestMetres: z.number().int().default(60_000),
});

export type GroupSettings = z.infer<typeof groupSettings>;

/** Ways of writing dates, and the country whose phone numbers need no +. Any other locale that Intl knows may be set in the table. */
export const LOCALES = [
  ['en-US', 'United States'],
  ['en-CA', 'Canada'],
  ['en-GB', 'United Kingdom'],
  ['en-IE', 'Ireland'],
  ['en-AU', 'Australia'],
  ['en-NZ', 'New Zealand'],
  ['en-ZA', 'South Africa'],
  ['en-IN', 'India'],
] as const;
