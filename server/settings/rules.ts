import { z } from 'zod';

const MINUTE_MS = 60_000;

/** What the group may change, with its defaults. Paces are minutes a mile on the flat (common practice, no source). */
export const groupSettings = z.object({
  groupName: z.string().default(''),
  eventName: z.string().default(''),
  /** First day of the event people train for, YYYY-MM-DD; empty where none is set. */
  eventDay: z.string().default(''),
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
