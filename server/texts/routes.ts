import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { editPages } from './edit-pages.js';
import { TEXT_FORM_BYTES } from './form.js';
import { publicPages } from './public-pages.js';

export function textRoutes(app: FastifyInstance, services: Services): void {
  const read = publicPages(services);
  const edit = editPages(services);
  app.get('/rules', may('anyone'), read.inForce('rules'));
  app.get('/rules/:version', may('anyone'), read.version('rules'));
  app.get('/waiver', may('anyone'), read.inForce('waiver'));
  app.get('/waiver/:version', may('anyone'), read.version('waiver'));
  app.get('/cautions', may('anyone'), read.inForce('cautions'));
  app.get('/coordinate/texts', may('coordinator'), edit.list);
  app.get('/coordinate/texts/:kind', may('coordinator'), edit.edit);
  app.post('/coordinate/texts/:kind', { ...may('coordinator'), bodyLimit: TEXT_FORM_BYTES }, edit.post);
  app.get('/coordinate/texts/:kind/:version', may('coordinator'), edit.version);
}
