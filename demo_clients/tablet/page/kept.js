// The last answers that were confirmed, kept on this tablet for the time without a network. Public words and prices only.

/**
 * A shelf of answers by their question, of which the oldest go first. Each kind has its own: many prices push out no maker.
 * @param {string} name
 * @param {number} most
 */
function shelf(name, most) {
  /** @returns {Record<string, {at: number, said: any}>} */
  const rows = () => {
    try {
      return JSON.parse(localStorage.getItem(name) ?? "{}");
    } catch {
      return {}; // no storage, or not ours
    }
  };
  return {
    /**
     * Keep an answer under its question.
     * @param {string} question
     * @param {unknown} said
     */
    keep(question, said) {
      const all = Object.entries({ ...rows(), [question]: { at: Date.now(), said } });
      all.sort((one, other) => other[1].at - one[1].at);
      try {
        localStorage.setItem(name, JSON.stringify(Object.fromEntries(all.slice(0, most))));
      } catch {
        // Without room nothing is kept, and without a network nothing is then shown.
      }
    },
    /**
     * Which of these questions was answered last; -1 where none was.
     * @param {string[]} questions
     */
    newest(questions) {
      const found = rows();
      const times = questions.map((question) => found[question]?.at ?? 0);
      const last = Math.max(...times);
      return last > 0 ? times.indexOf(last) : -1;
    },
    /**
     * The last confirmed answer to exactly this question.
     * @param {string} question
     * @returns {any}
     */
    kept: (question) => rows()[question]?.said,
  };
}

/** Who makes, what may be asked of each, and standard sizes: as many as the house has. */
export const house = shelf("evenhang-desk-house-1", Infinity);
export const prices = shelf("evenhang-desk-1", 200);
