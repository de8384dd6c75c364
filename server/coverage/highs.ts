import highs from 'highs';

/** Makes a solver of its own at each call. The library's types have this function one level deeper than its modules do. */
export const loadHighs = highs as unknown as typeof highs.default;
