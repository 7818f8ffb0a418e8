// The buyer's words: what the desk itself puts on a slip, and how it writes money and days, in the buyer's language.

/** @typedef {"en" | "fr" | "de" | "es" | "ja"} Language */

/** @type {Record<Language, string>} */
export const LANGUAGES = { en: "English", fr: "Français", de: "Deutsch", es: "Español", ja: "日本語" };

/** @type {Record<Language, {offer: string, until: string, issued: string, number: string, bring: string, code: string, included: string, added: string}>} */
export const SLIP = {
  en: {
    offer: "Offer",
    until: "This price stands up to and including",
    issued: "Issued on",
    number: "Offer number",
    bring: "Bring this slip: its code proves the price.",
    code: "The code of the offer",
    included: "including tax of",
    added: "plus tax of",
  },
  fr: {
    offer: "Offre",
    until: "Ce prix est valable jusqu’au, inclus :",
    issued: "Établie le",
    number: "Offre numéro",
    bring: "Rapportez ce ticket : son code prouve le prix.",
    code: "Le code de l’offre",
    included: "taxe comprise :",
    added: "taxe en sus :",
  },
  de: {
    offer: "Angebot",
    until: "Dieser Preis gilt bis einschließlich",
    issued: "Ausgestellt am",
    number: "Angebotsnummer",
    bring: "Bringen Sie diesen Zettel mit: Sein Code belegt den Preis.",
    code: "Der Code des Angebots",
    included: "einschließlich Steuer:",
    added: "zuzüglich Steuer:",
  },
  es: {
    offer: "Oferta",
    until: "Este precio es válido hasta el, inclusive:",
    issued: "Emitida el",
    number: "Oferta número",
    bring: "Traiga este papel: su código prueba el precio.",
    code: "El código de la oferta",
    included: "impuesto incluido:",
    added: "más impuesto:",
  },
  ja: {
    offer: "お見積り",
    until: "この価格の有効期限（当日を含む）",
    issued: "発行日",
    number: "見積番号",
    bring: "この票をお持ちください。コードが価格を証明します。",
    code: "お見積りのコード",
    included: "うち税",
    added: "別途税",
  },
};

/**
 * The tax under a price's lines.
 * @type {Record<Language, {included: string, added: string}>}
 */
export const TAX = {
  en: { included: "of which tax", added: "plus tax" },
  fr: { included: "dont taxe", added: "plus taxe" },
  de: { included: "davon Steuer", added: "zuzüglich Steuer" },
  es: { included: "impuesto incluido", added: "más impuesto" },
  ja: { included: "うち税", added: "別途税" },
};

/**
 * The tag by which days and amounts are written: English as the trade in Europe writes it, the day before the month.
 * @param {string} language
 */
const written = (language) => (language === "en" ? "en-GB" : language);

/**
 * An amount for people, exactly: its text never passes through a number.
 * @param {{amount: string, currency: string}} money
 * @param {string} language
 */
export function moneyText(money, language) {
  const digits = money.amount.split(".")[1]?.length ?? 0;
  const shape = new Intl.NumberFormat(written(language), {
    style: "currency",
    currency: money.currency,
    currencyDisplay: "code",
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  });
  return shape.format(/** @type {any} */ (money.amount));
}

/**
 * A civil day for people.
 * @param {string} day such as 2026-05-31
 * @param {string} language
 */
export function dayText(day, language) {
  return new Intl.DateTimeFormat(written(language), { dateStyle: "long", timeZone: "UTC" }).format(new Date(`${day}T00:00:00Z`));
}
