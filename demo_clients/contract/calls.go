// Make real calls with a Go client that was generated from the contract. Knows only the generated package `evenhang` and
// the example files; its arguments are the service's address, the folder of the examples, and a key with the scopes desk
// and books (any text where the service has no keys).
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"evenhang"
)

// asked is the request of an example, as the contract shows it.
func asked[T any](examples, name string) T {
	raw, err := os.ReadFile(filepath.Join(examples, name+".request.json"))
	must(err == nil, "the example %s can be read: %v", name, err)
	var request T
	err = json.Unmarshal(raw, &request)
	must(err == nil, "the example %s fits the generated type: %v", name, err)
	return request
}

func must(holds bool, what string, values ...any) {
	if !holds {
		log.Fatalf(what, values...)
	}
}

func main() {
	log.SetFlags(0)
	must(len(os.Args) == 4, "usage: calls ADDRESS EXAMPLES KEY")
	address, examples, key := os.Args[1], os.Args[2], os.Args[3]
	settings := evenhang.NewConfiguration()
	settings.Servers = evenhang.ServerConfigurations{{URL: address + "/v1"}}
	client := evenhang.NewAPIClient(settings)
	ctx := context.WithValue(context.Background(), evenhang.ContextAccessToken, key)

	list, _, err := client.MembersAPI.ListMembers(ctx).Execute()
	must(err == nil, "members are listed: %v", err)
	member := list.Members[0].Member

	quote := func(name string) (*evenhang.QuoteWork200Response, error) {
		request := asked[evenhang.QuoteRequest](examples, "quoteWork/"+name)
		answer, _, err := client.PricesAPI.QuoteWork(ctx, member).QuoteRequest(request).Execute()
		return answer, err
	}
	public, err := quote("oil-with-frame-for-the-public")
	must(err == nil && public.PublicQuote != nil, "the public view comes as its own type: %v", err)
	own, err := quote("oil-with-frame-for-the-member")
	must(err == nil && own.MemberQuote != nil, "the member's view comes as its own type: %v", err)
	price := public.PublicQuote.Price
	must(own.MemberQuote.Price.Amount == price.Amount, "one price for every caller")

	_, err = quote("unknown-medium")
	var failed *evenhang.GenericOpenAPIError
	must(errors.As(err, &failed), "an unknown medium is refused: %v", err)
	refused, typed := failed.Model().(evenhang.Problem)
	must(typed && refused.Status == 422, "with a typed problem: %v", failed)

	batch := asked[evenhang.BatchRequest](examples, "quoteBatch/two-members-and-one-work-that-has-no-price")
	rows, _, err := client.PricesAPI.QuoteBatch(ctx).BatchRequest(batch).Execute()
	must(err == nil, "many works are priced at once: %v", err)
	for i, row := range rows.Rows {
		must((row.Price.Get() == nil) == (row.Reason.Get() != nil), "row %d has a price or a reason", i)
	}
	must(int(rows.Summary.Count) == len(batch.Works) && rows.Summary.Faults == 1, "each work has its row")

	sale := asked[evenhang.SettlementRequest](examples, "settleSale/gallery-with-discount")
	settled, _, err := client.SalesAPI.SettleSale(ctx, member).SettlementRequest(sale).Execute()
	must(err == nil && settled.Settlement.Outlet == sale.Outlet, "the sale is settled in the outlet that was asked: %v", err)

	catalogue := asked[evenhang.CheckRequest](examples, "checkCatalogue/larger-for-less")
	checked, _, err := client.CataloguesAPI.CheckCatalogue(ctx, member).CheckRequest(catalogue).Execute()
	must(err == nil && !checked.Clean, "a larger work for less must be found: %v", err)

	fmt.Printf("go client: %s, %s %s; refused as %s; settled at %s; %d findings\n",
		member, price.Amount, price.Currency, refused.Type, settled.Settlement.Proceeds.Amount, len(checked.Findings))
}
