// The line to the service: questions, answers in order, and whether anybody answers at all. Knows nothing of prices.

const PATIENCE = 8000; // ms for one answer

/** The service understood and declined; `problem` is its own words. */
export class Declined extends Error {
  /**
   * @param {{status: number, detail?: string, title?: string, errors?: {pointer?: string, detail: string}[]}} problem
   * @param {string} language whose words these are
   */
  constructor(problem, language) {
    super(problem.errors?.[0]?.detail || problem.detail || problem.title || "This cannot be answered.");
    this.problem = problem;
    this.language = language;
  }
}

/** Nobody answered: no network, no service, or one in trouble. */
export class Away extends Error {}

/** A newer question was asked meanwhile; this answer is nobody's any more. */
export class Late extends Error {}

/**
 * The answer to a question, looked at by `is`: a network's page of its own may be JSON and a 200 as well, and is nobody's answer. Throws Declined, Away, or Late where `signal` was aborted.
 * @param {string} path under /v1/
 * @param {{body?: unknown, language?: string, signal?: AbortSignal, is?: (said: any) => boolean}} [how]
 * @returns {Promise<any>}
 */
export async function ask(path, { body, language = "en", signal, is = () => true } = {}) {
  /** @type {Record<string, string>} */
  const headers = { "Accept-Language": language };
  if (body !== undefined) headers["Content-Type"] = "application/json";
  const limit = AbortSignal.timeout(PATIENCE);
  try {
    const answer = await fetch(`/v1/${path}`, {
      method: body === undefined ? "GET" : "POST",
      headers,
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      signal: signal ? AbortSignal.any([signal, limit]) : limit,
    });
    const said = await answer.json();
    if (answer.ok && !is(said)) throw new Away("This is no answer of the service.");
    if (answer.ok) return said;
    if (answer.status >= 500 || answer.status === 429) throw new Away(said.detail);
    throw new Declined({ ...said, status: answer.status }, answer.headers.get("Content-Language") ?? "en");
  } catch (fault) {
    if (signal?.aborted) throw new Late();
    if (fault instanceof Declined || fault instanceof Away) throw fault;
    throw new Away(String(fault)); // no network, out of patience, or no JSON
  }
}

/**
 * A lane in which only the newest question counts: it gives up the one before, and an answer that comes all the same is Late.
 * @returns {{run: <T>(asking: (signal: AbortSignal) => Promise<T>) => Promise<T>, drop: () => void}}
 */
export function lane() {
  let number = 0;
  let running = new AbortController();
  const next = () => {
    running.abort();
    running = new AbortController();
    return ++number;
  };
  return {
    async run(asking) {
      const mine = next();
      try {
        const answer = await asking(running.signal);
        if (mine !== number) throw new Late();
        return answer;
      } catch (fault) {
        throw mine === number ? fault : new Late();
      }
    },
    drop: () => void next(),
  };
}

const AGAIN = 1000; // ms until the first further try

/**
 * Whether the service is within reach: `told(false)` when it goes, `told(true)` when it is back, and `again` to try meanwhile.
 * An answer to anything but what is `shown`, asked perhaps before the line went, confirms no price: then it is tried once more.
 * @param {(here: boolean) => void} told
 * @param {() => void} again
 */
export function watch(told, again) {
  let here = true;
  let wait = 0;
  let timer = 0;
  const tryAgain = () => {
    clearTimeout(timer);
    again();
  };
  addEventListener("online", tryAgain);
  return {
    away() {
      if (here) told((here = false));
      wait = Math.min(wait ? wait * 2 : AGAIN, 10_000);
      clearTimeout(timer);
      timer = setTimeout(tryAgain, wait);
    },
    back(shown = false) {
      wait = 0;
      if (shown || !here) clearTimeout(timer);
      if (here) return;
      told((here = true));
      if (!shown) timer = setTimeout(tryAgain, AGAIN);
    },
  };
}
