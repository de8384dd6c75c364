import { type Chance, shuffled } from './chance.js';

/** A question as far as drawing goes. */
export interface Drawable {
  id: number;
  /** Of the handbook. */
  page: string;
  answers: readonly string[];
}

/** A question that an attempt asks, with its answers in the order they are shown. */
export interface Drawn {
  questionId: number;
  answerOrder: number[];
}

/**
 * Draws questions for an attempt: each once, spread over the pages of the handbook as evenly as the bank allows, those not asked lately
 * before the others. All of them where there are fewer than `count`. Pure.
 * @param lately numbers of the questions that the last attempt asked
 */
export function draw(bank: readonly Drawable[], count: number, lately: ReadonlySet<number>, chance: Chance): Drawn[] {
  const pages = [...new Set(bank.map(({ page }) => page))];
  const piles = shuffled(pages, chance).map((page) => {
    const pile = shuffled(
      bank.filter((one) => one.page === page),
      chance,
    );
    return [...pile.filter((one) => !lately.has(one.id)), ...pile.filter((one) => lately.has(one.id))];
  });
  const deepest = Math.max(0, ...piles.map((pile) => pile.length));
  // One of each page in turn, until there are enough.
  const turns = Array.from({ length: deepest }, (_, turn) => piles.flatMap((pile) => pile.slice(turn, turn + 1))).flat();
  return turns.slice(0, count).map(({ id, answers }) => ({ questionId: id, answerOrder: shuffled([...answers.keys()], chance) }));
}

/** How many of so many must be right: a part of one counts as a whole. Pure. */
export function rightNeeded(questions: number, passPercent: number): number {
  return Math.ceil((questions * passPercent) / 100);
}

/** Whether an attempt passes: with none asked there is nothing to pass. Pure. */
export function isPassed(right: number, questions: number, passPercent: number): boolean {
  return questions > 0 && right >= rightNeeded(questions, passPercent);
}
