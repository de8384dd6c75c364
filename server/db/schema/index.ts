/** The tables as drizzle sees them. The truth is migrations/; tests/db/schema.test.ts holds the two together. */
export * from './areas.js';
export * from './asks.js';
export * from './commitment.js';
export * from './coverage.js';
export * from './joining.js';
export * from './messages.js';
export * from './people.js';
export * from './quiz.js';
export * from './routes.js';
export * from './season.js';
export * from './signups.js';
export * from './standing.js';
export * from './together.js';
export * from './waivers.js';
export * from './walks.js';
