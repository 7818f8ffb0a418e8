// The last answers that were confirmed, kept on this tablet for the time without a network. Public words and prices only.

const MOST = 200;
const SHELF = "evenhang-desk-1";

/** @returns {Record<string, {at: number, said: any}>} */
function shelf() {
  try {
    return JSON.parse(localStorage.getItem(SHELF) ?? "{}");
  } catch {
    return {}; // no storage, or not ours
  }
}

/**
 * Keep an answer under its question; the oldest go first.
 * @param {string} question
 * @param {unknown} said
 */
export function keep(question, said) {
  const rows = Object.entries({ ...shelf(), [question]: { at: Date.now(), said } });
  rows.sort((one, other) => other[1].at - one[1].at);
  try {
    localStorage.setItem(SHELF, JSON.stringify(Object.fromEntries(rows.slice(0, MOST))));
  } catch {
    // Without room nothing is kept, and without a network nothing is then shown.
  }
}

/**
 * Which of these questions was answered last; -1 where none was.
 * @param {string[]} questions
 */
export function newest(questions) {
  const rows = shelf();
  const times = questions.map((question) => rows[question]?.at ?? 0);
  const last = Math.max(...times);
  return last > 0 ? times.indexOf(last) : -1;
}

/**
 * The last confirmed answer to exactly this question.
 * @param {string} question
 * @returns {any}
 */
export function kept(question) {
  return shelf()[question]?.said;
}
