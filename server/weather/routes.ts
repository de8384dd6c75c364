import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { weatherPages } from './pages.js';

/** The day's forecast of a walk. */
export function weatherRoutes(app: FastifyInstance, services: Services): void {
  const weather = weatherPages(services);
  app.get('/lead/walks/:walk/weather', may('walkLeader'), weather.weatherForm);
  app.post('/lead/walks/:walk/weather', may('walkLeader'), weather.postWeather);
}
