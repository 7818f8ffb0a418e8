// Make real calls with the TypeScript types that were generated from the contract, over the fetch that every
// browser and Node have. Compiled with --strict beside the generated schema.d.ts; the arguments are the service's
// address, the folder of the examples, and a key with the scopes desk and books (any text where it has no keys).
import createClient from "openapi-fetch";
import { readFileSync } from "node:fs";
import type { components, paths } from "./schema.js";

type Schemas = components["schemas"];

const [address, examples, key] = process.argv.slice(2);
if (!address || !examples || !key) throw new Error("usage: calls.js ADDRESS EXAMPLES KEY");

function asked<T>(name: string): T {
  return JSON.parse(readFileSync(`${examples}/${name}.request.json`, "utf8")) as T;
}

function must(holds: boolean, what: string): void {
  if (!holds) throw new Error(what);
}

const client = createClient<paths>({ baseUrl: `${address}/v1`, headers: { Authorization: `Bearer ${key}` } });

const { data: list } = await client.GET("/members");
const member = list?.members[0]?.member;
if (!list || !member) throw new Error("no member is listed");

const at = { params: { path: { member } } };
const work = asked<Schemas["QuoteRequest"]>("quoteWork/oil-with-frame-for-the-public");
const { data: quote } = await client.POST("/members/{member}/quotes", { ...at, body: work });
if (!quote) throw new Error("no quote came back");
must(/^[0-9]+[.][0-9]{2}$/.test(quote.price.amount), "the price is a text with the currency's minor digits");

const unknown = asked<Schemas["QuoteRequest"]>("quoteWork/unknown-medium");
const { error, response } = await client.POST("/members/{member}/quotes", { ...at, body: unknown });
must(response.status === 422 && error?.status === 422, "an unknown medium is refused with a typed problem");

const batch = asked<Schemas["BatchRequest"]>("quoteBatch/two-members-and-one-work-that-has-no-price");
const { data: rows } = await client.POST("/quotes", { body: batch });
if (typeof rows !== "object") throw new Error("a list is answered with a list");
must(rows.summary.count === batch.works.length && rows.summary.faults === 1, "each work of a batch has its row");

const sale = asked<Schemas["SettlementRequest"]>("settleSale/gallery-with-discount");
const { data: settled } = await client.POST("/members/{member}/settlements", { ...at, body: sale });
if (typeof settled !== "object") throw new Error("without a wish for a picture the answer is data");
must(settled.settlement.outlet === sale.outlet, "the sale is settled in the outlet that was asked");

const catalogue = asked<Schemas["CheckRequest"]>("checkCatalogue/larger-for-less");
const { data: checked } = await client.POST("/members/{member}/checks", { ...at, body: catalogue });
if (typeof checked !== "object") throw new Error("without a wish for a picture the answer is data");
must(checked.clean === false, "a larger work for less must be found");

console.log(`typescript client: ${member}, ${quote.price.amount} ${quote.price.currency}; refused as ${error?.type}`);
