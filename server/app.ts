import { randomBytes } from 'node:crypto';
import { join } from 'node:path';
import cookie from '@fastify/cookie';
import formbody from '@fastify/formbody';
import rateLimit, { normalizeIP, type RateLimitPluginOptions } from '@fastify/rate-limit';
import Fastify, { type FastifyInstance, type FastifyReply, LogController } from 'fastify';
import { areaRoutes } from './areas/routes.js';
import { commitmentRoutes } from './commitment/routes.js';
import { type Config, ROOT } from './config.js';
import { contactRoutes } from './contacts/routes.js';
import { coverageRoutes } from './coverage/routes.js';
import { type AssignmentSolver, assignmentSolver } from './coverage/solve.js';
import { careRoutes } from './day/care-routes.js';
import { closeRoutes } from './day/close-routes.js';
import { packRoutes } from './day/pack-routes.js';
import { dayRoutes } from './day/routes.js';
import type { DataFolder } from './db/folder.js';
import { handbookRoutes } from './handbook/routes.js';
import { incidentRoutes } from './incidents/routes.js';
import { joiningRoutes } from './joining/routes.js';
import { leadCalendarRoutes } from './leadcalendar/routes.js';
import { leaderRoutes } from './leaders/routes.js';
import { logRoutes } from './log/routes.js';
import { messageRoutes } from './messages/routes.js';
import { noticeRoutes } from './notices/routes.js';
import { peopleRoutes } from './people/routes.js';
import { planRoutes } from './plan/routes.js';
import { privacyRoutes } from './privacy/routes.js';
import { proposalRoutes } from './proposals/routes.js';
import { quizRoutes } from './quiz/routes.js';
import { repeatRoutes } from './repeats/routes.js';
import { reportRoutes } from './report/routes.js';
import type { Clock, Services } from './services.js';
import { settingsRoutes } from './settings/routes.js';
import { settingsReader } from './settings/store.js';
import { signUpRoutes } from './signups/routes.js';
import { standingRoutes } from './standing/routes.js';
import { textRoutes } from './texts/routes.js';
import { togetherRoutes } from './together/routes.js';
import { waiverRoutes } from './waivers/routes.js';
import { walkRoutes } from './walks/routes.js';
import { weatherRoutes } from './weather/routes.js';
import { guardRoutes } from './web/access.js';
import { assetRoutes } from './web/assets.js';
import { answerErrors } from './web/errors.js';
import { guardForms } from './web/guard.js';
import { setHeaders } from './web/headers.js';
import { takeJson } from './web/json.js';
import { takeFiles } from './web/multipart.js';
import { operatorRoutes } from './web/operator.js';
import { page } from './web/page.js';
import { FORM_BYTES, parseForm } from './web/parse-form.js';
import { Views } from './web/render.js';
import { readAssets } from './web/site.js';
import { knowVisitors } from './web/visitor.js';

/** A request that takes longer to arrive is dropped: a large file over a poor line takes a minute. */
const SLOWEST_MS = 5 * 60_000;
const REQUESTS_A_MINUTE = 300;
/** For the few answers given before any hook runs. */
const PLAIN_HEADERS = { 'Content-Security-Policy': "default-src 'none'", 'Referrer-Policy': 'no-referrer', 'Cache-Control': 'no-store' };

export interface AppOptions {
  config: Config;
  data: Pick<DataFolder, 'db' | 'sealer'>;
  now?: Clock;
  mailOwed?: () => void;
  /** The templates, where they are at hand: reading them is most of what building the app costs. */
  views?: Views;
  /** What solves proposals; a process of its own where none is handed in. */
  solver?: AssignmentSolver;
  /** Where log lines go instead of the standard output. */
  logStream?: { write: (line: string) => void };
}

/** The whole service, not yet listening. Production, tests and the bench build it here and nowhere else. */
export async function buildApp(options: AppOptions): Promise<{ app: FastifyInstance; services: Services; views: Views }> {
  const { config } = options;
  const app = Fastify({
    logger: {
      level: config.logLevel,
      ...(options.logStream ? { stream: options.logStream } : {}),
      serializers: { req: (request) => ({ method: request.method, url: redact(request.url) }) },
    },
    logController: new LogController({ disableRequestLogging: true }),
    trustProxy: config.trustProxy,
    bodyLimit: FORM_BYTES,
    requestTimeout: SLOWEST_MS,
    forceCloseConnections: true,
    routerOptions: { maxParamLength: 200 },
    // An address that can't be read, or is too long, never reaches a route: it gets the same page as one that leads nowhere.
    frameworkErrors: (_error, _request, reply) => unreadable(reply as FastifyReply),
  });
  const services: Services = {
    config,
    db: options.data.db,
    sealer: options.data.sealer,
    now: options.now ?? Date.now,
    secret: () => randomBytes(32).toString('base64url'),
    settings: settingsReader(options.data.db),
    mailOwed: options.mailOwed ?? (() => {}),
    log: app.log,
  };
  const views = options.views ?? new Views(join(ROOT, 'views'));
  const assets = readAssets();
  app.decorate('pages', { views, assets, services });

  setHeaders(app, config);
  await app.register(cookie);
  // Forms are all that is posted here: a body of another kind answers 415.
  app.removeAllContentTypeParsers();
  await app.register(formbody, { parser: parseForm });
  takeFiles(app);
  takeJson(app);
  if (config.rateLimit) await app.register(rateLimit, rateLimits());
  knowVisitors(app, services);
  guardForms(app, services);
  guardRoutes(app, services);
  answerErrors(app, services, (reply, problem) =>
    page(reply.request, reply, 'problem', { title: problem.heading, ...problem, noindex: true }),
  );

  assetRoutes(app, assets);
  operatorRoutes(app, services);
  peopleRoutes(app, services);
  textRoutes(app, services);
  walkRoutes(app, services);
  signUpRoutes(app, services);
  waiverRoutes(app, services);
  contactRoutes(app, services);
  careRoutes(app, services);
  incidentRoutes(app, services);
  privacyRoutes(app, services);
  handbookRoutes(app, services);
  quizRoutes(app, services);
  leaderRoutes(app, services);
  dayRoutes(app, services);
  packRoutes(app, services);
  leadCalendarRoutes(app, services);
  togetherRoutes(app, services);
  commitmentRoutes(app, services);
  joiningRoutes(app, services);
  standingRoutes(app, services);
  repeatRoutes(app, services);
  weatherRoutes(app, services);
  messageRoutes(app, services, views);
  closeRoutes(app, services);
  logRoutes(app, services);
  coverageRoutes(app, services);
  reportRoutes(app, services);
  proposalRoutes(app, services, solverFor(app, options.solver));
  planRoutes(app, services);
  areaRoutes(app, services);
  settingsRoutes(app, services);
  noticeRoutes(app, services, views);
  return { app, services, views };
}

/** What is being solved ends with the service. */
function solverFor(app: FastifyInstance, given: AssignmentSolver | undefined): AssignmentSolver {
  const solver = given ?? assignmentSolver({ onBreak: (error) => app.log.error({ err: error }, 'proposals could not be solved') });
  app.addHook('onClose', () => solver.close());
  return solver;
}

function unreadable(reply: FastifyReply): void {
  const text = 'There is nothing at this address. It may have been cut off or mistyped.\n';
  reply.code(404).headers(PLAIN_HEADERS).type('text/plain; charset=utf-8').send(text);
}

/** A general limit for each address, and a smaller one for each route that asks for it. */
function rateLimits(): RateLimitPluginOptions {
  return {
    max: (request) => request.routeOptions.config.perMinute ?? REQUESTS_A_MINUTE,
    timeWindow: 60_000,
    keyGenerator: (request) => {
      const { config, url } = request.routeOptions;
      // An IPv6 visitor owns a whole /64: its addresses count as one.
      const address = normalizeIP(request.ip);
      return config.perMinute === undefined ? address : `${address} ${request.method} ${url}`;
    },
  };
}

/** Addresses that are secrets stay out of the log. */
export function redact(url: string): string {
  return url.replace(/^\/(sign-ups|sign-in|waivers|offers|asks|monthly-mail|lead\/calendar)\/[^/?]+/, '/$1/…').replace(/\?.*$/, '');
}
