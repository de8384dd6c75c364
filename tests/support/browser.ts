import type { FastifyInstance } from 'fastify';
import supertest, { type Response } from 'supertest';

/** One visitor's browser: keeps its cookies, says that its forms come from this site, and sends the form token of the last page it saw. */
export class Browser {
  readonly #agent: ReturnType<typeof supertest.agent>;
  #csrf = '';
  /** The session's cookie, for a test that sends its own request. */
  cookie = '';

  constructor(app: FastifyInstance) {
    this.#agent = supertest.agent(app.server);
  }

  /** Puts a session's cookie in, as if this browser had signed in. */
  signIn(cookie: string, token: string, csrf: string): void {
    this.cookie = `${cookie}=${token}`;
    this.#agent.set('Cookie', this.cookie);
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

  /** Asks for JSON as a script of the page does. */
  async getJson(path: string): Promise<Response> {
    return this.#agent.get(path).set('Accept', 'application/json');
  }

  /** Posts JSON as a script of the page does. */
  async postJson(path: string, body: object): Promise<Response> {
    return this.#agent
      .post(path)
      .set('Sec-Fetch-Site', 'same-origin')
      .send({ csrf: this.#csrf, ...body });
  }

  /** Posts a form that brings a file. */
  async postFile(
    path: string,
    fields: Record<string, string | string[]>,
    file: { field: string; name: string; bytes: Buffer },
  ): Promise<Response> {
    const post = this.#agent.post(path).set('Sec-Fetch-Site', 'same-origin');
    for (const [name, value] of Object.entries({ csrf: this.#csrf, ...fields })) for (const one of [value].flat()) post.field(name, one);
    return post.attach(file.field, file.bytes, file.name);
  }
}
