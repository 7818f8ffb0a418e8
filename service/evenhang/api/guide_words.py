"""The words of the price guide's pages and picture, in the languages that the house speaks.

Knows no HTML and no amount's value. The members' own titles are nobody's to translate; the engine's notes are translated elsewhere.
"""

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from decimal import Decimal

from evenhang.api.language import DEFAULT, LANGUAGES
from evenhang.engine.guide import Guide
from evenhang.engine.money import Money

# One row a word, in the order of LANGUAGES: en, fr, de, es, ja. Written without native speakers; none has read them yet.
_ROWS: dict[str, tuple[str, str, str, str, str]] = {
    "price_guide": ("Price guide", "Tarif des œuvres", "Preisliste", "Lista de precios", "価格表"),
    "stop": (". ", ". ", ". ", ". ", "。"),
    "size": ("Size", "Format", "Format", "Formato", "サイズ"),
    "price": ("Price", "Prix", "Preis", "Precio", "価格"),
    "unframed": ("Unframed", "Sans cadre", "Ohne Rahmen", "Sin marco", "額なし"),
    "framed": ("Framed", "Encadré", "Gerahmt", "Enmarcado", "額付き"),
    "height_width": ("height × width", "hauteur × largeur", "Höhe × Breite", "alto × ancho", "縦 × 横"),
    "depth": ("depth", "profondeur", "Tiefe", "fondo", "奥行"),
    "comma": (", ", ", ", ", ", ", ", "、"),
    "prices_in": ("Prices in {0}", "Prix en {0}", "Preise in {0}", "Precios en {0}", "価格の通貨：{0}"),
    "tax_included": ("{0} % tax included", "taxe de {0} % comprise", "inkl. {0} % Steuer", "{0} % de impuesto incluido", "税{0}%込み"),
    "tax_added": ("{0} % tax is added", "taxe de {0} % en sus", "zzgl. {0} % Steuer", "más {0} % de impuesto", "別途税{0}%"),
    "tax_none": ("no tax", "sans taxe", "ohne Steuer", "sin impuesto", "税なし"),
    "from_day": ("Valid from {0}", "Valable à partir du {0}", "Gültig ab {0}", "Válida desde el {0}", "{0}から有効"),
    "from_to": (
        "Valid from {0} to {1}", "Valable du {0} au {1}", "Gültig vom {0} bis {1}", "Válida del {0} al {1}", "{0}から{1}まで有効",
    ),
    "parity": (
        "A work has one price, the same wherever it is sold: {0}.",
        "Une œuvre a un seul prix, le même partout où elle est vendue : {0}.",
        "Ein Werk hat einen Preis, überall denselben, wo es verkauft wird: {0}.",
        "Una obra tiene un solo precio, el mismo en todos los lugares donde se vende: {0}.",
        "作品の価格は一つです。どこでお求めいただいても変わりません：{0}。",
    ),
    "rate": (
        "Prices in {0} are those in the member's own currency x {1}, the rate of {2}, rounded.",
        "Les prix en {0} sont ceux de la monnaie de l'atelier x {1}, taux du {2}, arrondis.",
        "Preise in {0} sind die in der eigenen Währung der Werkstatt x {1}, Kurs vom {2}, gerundet.",
        "Los precios en {0} son los de la moneda propia del taller x {1}, cambio del {2}, redondeados.",
        "{0}の価格は工房の通貨での価格に{2}のレート{1}を掛け、端数を整えたものです。",
    ),
    "frame_means": ("Framed: {0}.", "Encadré : {0}.", "Gerahmt: {0}.", "Enmarcado: {0}.", "額付き：{0}。"),
    "left_out": ("Without a price", "Sans prix", "Ohne Preis", "Sin precio", "価格なし"),
    "caution": (
        "Figures of tax are arithmetic, not advice: local law and the written agreement decide; ask a licensed adviser.",
        "Les montants de taxe sont de l'arithmétique, non un conseil : le droit local et le contrat écrit font foi ; consultez un conseil"
        " agréé.",
        "Steuerbeträge sind gerechnet, kein Rat: Es gelten das örtliche Recht und die schriftliche Vereinbarung; fragen Sie zugelassene"
        " Fachleute.",
        "Las cifras de impuestos son aritmética, no asesoramiento: deciden la ley local y el acuerdo escrito; consulte a un asesor"
        " autorizado.",
        "税額は計算上の数字で、助言ではありません。現地の法令と書面の契約が優先します。資格のある専門家にご相談ください。",
    ),
    "chart": ("Price against size", "Le prix selon le format", "Preis nach Format", "Precio según el formato", "サイズと価格"),
    "chart_of": (
        "A chart of the prices in the tables, against size.",
        "Un graphique des prix des tableaux, selon le format.",
        "Die Preise der Tabellen als Diagramm, nach Format.",
        "Un gráfico de los precios de las tablas, según el formato.",
        "表の価格をサイズごとに示した図です。",
    ),
    "of": ("{0}: {1}", "{0}\u00a0: {1}", "{0}: {1}", "{0}: {1}", "{0}：{1}"),
    "languages": ("Languages", "Langues", "Sprachen", "Idiomas", "言語"),
    "currencies": ("Currencies", "Monnaies", "Währungen", "Monedas", "通貨"),
    "media": ("Media", "Techniques", "Techniken", "Técnicas", "技法"),
    "all_media": ("All", "Toutes", "Alle", "Todas", "すべて"),
    "other_forms": ("This guide as", "Ce tarif en", "Diese Liste als", "Esta lista como", "他の形式"),
    "picture": ("Picture", "Image", "Bild", "Imagen", "図"),
    "table": ("Table (CSV)", "Tableau (CSV)", "Tabelle (CSV)", "Tabla (CSV)", "表 (CSV)"),
    "as_of": ("As of {0}", "État au {0}", "Stand {0}", "A fecha de {0}", "{0}現在"),
    "rules": ("Rules {0}", "Règles {0}", "Regeln {0}", "Reglas {0}", "規則 {0}"),
}  # fmt: skip
WORDS: dict[str, dict[str, str]] = {language: {key: row[at] for key, row in _ROWS.items()} for at, language in enumerate(LANGUAGES)}
OWN_NAMES = {"en": "English", "fr": "Français", "de": "Deutsch", "es": "Español", "ja": "日本語"}
# How a language groups thousands and marks decimals, and the least number it groups (CLDR 47, numbers, standard decimal pattern).
_MARKS = {"en": (",", ".", 0), "fr": ("\u202f", ",", 0), "de": (".", ",", 0), "es": (".", ",", 10_000), "ja": (",", ".", 0)}


def words_in(language: str) -> Mapping[str, str]:
    """The words in that language, English where the house does not speak it."""
    return WORDS.get(language, WORDS[DEFAULT])


def number_in(value: Decimal, language: str) -> str:
    """The number as the language writes it, with the digits that it has."""
    group, point, least = _MARKS.get(language, _MARKS[DEFAULT])
    text = f"{value:,f}" if abs(value) >= least else f"{value:f}"
    return "".join(group if mark == "," else point if mark == "." else mark for mark in text)


def amount_in(money: Money | None, language: str) -> str:
    """The amount without its currency, which stands once above the table; a dash where there is none."""
    return "–" if money is None else number_in(money.amount, language)


def last_day(guide: Guide) -> date | None:
    """The last day of these prices, included; `valid_until` is the first on which they stand no more."""
    return None if guide.valid_until is None else guide.valid_until - timedelta(days=1)


def day_in(day: date, language: str) -> str:
    """The day as a sentence of that language writes it (CLDR, long)."""
    from babel.dates import format_date

    return format_date(day, "long", language)


Days = Callable[[date, str], str]


def validity(guide: Guide, language: str, day: Days = day_in) -> str:
    """From when until when the prices stand, the last day included."""
    words, last, first = words_in(language), last_day(guide), day(guide.valid_from, language)
    return words["from_day"].format(first) if last is None else words["from_to"].format(first, day(last, language))


def tax_words(guide: Guide, language: str) -> str:
    """What the prices are in, and what of tax is in them."""
    words = words_in(language)
    tax = words[f"tax_{guide.tax_kind}"].format(number_in(Decimal(guide.tax_percent), language))
    return f"{words['prices_in'].format(guide.currency)}{words['comma']}{tax}"


def terms(guide: Guide, language: str, day: Days = day_in) -> str:
    """In two sentences: what the prices are in, and how long they stand."""
    stop = words_in(language)["stop"]
    return f"{tax_words(guide, language)}{stop}{validity(guide, language, day)}{stop}".strip()


def parity(guide: Guide, language: str) -> str:
    """The sentence that explains parity, and in another currency where its prices come from."""
    words = words_in(language)
    said = words["parity"].format("; ".join(guide.outlets))
    if guide.rate is None or guide.rate_on is None:
        return said
    rate, on = number_in(Decimal(guide.rate), language), day_in(guide.rate_on, language)
    return f"{said} {words['rate'].format(guide.currency, rate, on)}"
