// Bare Fastify sending the bytes it is given: what a page is measured against. Prints its port.
import { readFileSync } from 'node:fs';
import Fastify from 'fastify';

const app = Fastify();
for (const [path, file] of JSON.parse(process.argv[2] ?? '{}')) {
  const body = readFileSync(file, 'utf8');
  app.get(path, (_request, reply) => reply.type('text/html; charset=utf-8').send(body));
}
await app.listen({ port: 0, host: '127.0.0.1' });
process.stdout.write(`${app.server.address().port}\n`);
