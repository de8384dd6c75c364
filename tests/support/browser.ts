import type { FastifyInstance } from 'fastify';
import supertest, { type Response } from 'supertest';

/** One visitor's browser: keeps its cookies, says that its forms come from this site, and sends the form token of the last page it saw. */
export class Browser {
  readonly #agent: ReturnType<typeof supertest.agent>;
  #csrf = '';

  constructor(app: FastifyInstance) {
    this.#agent = supertest.agent(app.server);
  }

  /** Puts a session's cookie in, as if this browser had signed in. */
  signIn(cookie: string, token: string, csrf: string): void {
    this.#agent.set('Cookie', `${cookie}=${token}`);
    this.#csrf = csrf;
  }

  async get(path: string): Promise<Response> {
    const answer = await this.#agent.get(path);
    this.#csrf = /name="csrf" value="([^"]*)"/.exec(answer.text ?? '')?.[1] || this.#csrf;
    return answer;
  }

  async head(path: string): Promise<Response> {
    return this.#agent.head(path);
  }

  /** Posts a form; a list sends its field repeatedly. */
  async post(path: string, fields: Record<string, string | string[]> = {}): Promise<Response> {
    const body = new URLSearchParams();
    for (const [name, value] of Object.entries({ csrf: this.#csrf, ...fields })) for (const one of [value].flat()) body.append(name, one);
    return this.#agent.post(path).set('Sec-Fetch-Site', 'same-origin').type('form').send(body.toString());
  }
}
