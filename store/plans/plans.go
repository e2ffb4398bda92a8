package plans

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

// small are the tables of which a site has few rows, by name and by the alias
// a statement gives them: they may be read from end to end. A few grow with what
// people ask or look at by hand, and with pairs that are alike.
var small = []string{"challenge", "round", "host", "site", "c", "r", "season", "migration", "import", "participant", "p",
	"link_wish", "own_wish", "sqlite_schema", "question", "alike", "address_look", "look"}

// Watch keeps the queries that it is told of. The zero value is ready, and safe
// for concurrent use.
type Watch struct {
	mu    sync.Mutex
	asked map[string]bool
}

// Told keeps a statement, if it is a query.
func (w *Watch) Told(statement string) {
	if !strings.HasPrefix(statement, "SELECT") {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.asked == nil {
		w.asked = map[string]bool{}
	}
	w.asked[statement] = true
}

// An Explainer names the tables that a query reads from end to end.
type Explainer interface {
	Scans(ctx context.Context, query string) ([]string, error)
}

// Unindexed returns what to print for each kept query that reads a table which may
// be large from end to end. Queries that stand in own, the text of the tests
// themselves, are left out.
func (w *Watch) Unindexed(ctx context.Context, db Explainer, own string) (found []string, err error) {
	w.mu.Lock()
	asked := slices.Sorted(maps.Keys(w.asked)) // explaining may itself be told of
	w.mu.Unlock()
	for _, query := range asked {
		if strings.Contains(own, query) {
			continue
		}
		tables, err := db.Scans(ctx, query)
		if err != nil {
			return nil, err
		}
		for _, t := range tables {
			if !slices.Contains(small, t) {
				found = append(found, fmt.Sprintf("FAIL: %s is read from end to end: %s", t, strings.Join(strings.Fields(query), " ")))
			}
		}
	}
	return found, nil
}
