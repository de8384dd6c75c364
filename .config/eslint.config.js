import { fileURLToPath } from 'node:url';
import tseslint from 'typescript-eslint';

/**
 * Only what needs types: a promise nobody waits for, a case nobody thought of. Everything else is Biome's.
 * no-unnecessary-condition is left out: drizzle types the row of an insert that met a conflict as always there, and it is not.
 */
export default tseslint.config({
  files: ['**/*.ts'],
  plugins: { '@typescript-eslint': tseslint.plugin },
  linterOptions: { reportUnusedDisableDirectives: 'error' },
  languageOptions: {
    parser: tseslint.parser,
    parserOptions: {
      project: ['tsconfig.json', 'server/day/phone/tsconfig.json', 'server/day/worker/tsconfig.json'],
      tsconfigRootDir: fileURLToPath(new URL('..', import.meta.url)),
    },
  },
  rules: {
    '@typescript-eslint/await-thenable': 'error',
    '@typescript-eslint/no-floating-promises': 'error',
    '@typescript-eslint/no-misused-promises': 'error',
    '@typescript-eslint/only-throw-error': 'error',
    '@typescript-eslint/return-await': ['error', 'error-handling-correctness-only'],
    '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
  },
});
