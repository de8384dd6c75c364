/** The tables as drizzle sees them. The truth is migrations/; tests/db/schema.test.ts holds the two together. */
export * from './areas.js';
export * from './people.js';
export * from './routes.js';
export * from './signups.js';
export * from './standing.js';
export * from './waivers.js';
export * from './walks.js';
