import type { FastifyInstance, FastifyRequest } from 'fastify';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** A script may post JSON to the route, besides its form, or ask it for JSON. */
    takesJson?: boolean;
  }
}

const JSON_TYPE = /^application\/json\b/i;

/** Reads JSON on the routes that say so; elsewhere such a body answers 415. */
export function takeJson(app: FastifyInstance): void {
  const parse = app.getDefaultJsonParser('error', 'error');
  app.addContentTypeParser<string>('application/json', { parseAs: 'string' }, (request, body, done) => {
    if (request.routeOptions.config.takesJson !== true) return done(Object.assign(new Error('no JSON is taken here'), { statusCode: 415 }));
    // The parser gives its answer by `done`; what it returns is nothing.
    void parse(request, body, done);
  });
}

/** Adds to a route's declaration that a script may post JSON to it, or ask it for JSON. */
export function withJson<C extends object>(route: { config: C }): { config: C & { takesJson: true } } {
  return { config: { ...route.config, takesJson: true } };
}

/** Whether a script posted this: it is answered in JSON, a refusal too, and never sent on to a page. */
export function isJson(request: FastifyRequest): boolean {
  return request.routeOptions.config.takesJson === true && JSON_TYPE.test(String(request.headers['content-type'] ?? ''));
}

/** Whether a script of such a route waits for the answer, whatever it is: a refusal, too, in JSON, so that it is known for the service's own. */
export function answersJson(request: FastifyRequest): boolean {
  return isJson(request) || (request.routeOptions.config.takesJson === true && wantsJson(request));
}

/** Whether a script asks for what the page holds, without the page. */
export function wantsJson(request: FastifyRequest): boolean {
  return JSON_TYPE.test(String(request.headers.accept ?? ''));
}
