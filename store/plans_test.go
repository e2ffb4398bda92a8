package store

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

// asked are the statements that this package's tests have run.
var asked = struct {
	sync.Mutex
	all map[string]bool
}{all: map[string]bool{}}

func tellAsked(query string) {
	if strings.HasPrefix(query, "SELECT") {
		asked.Lock()
		asked.all[query] = true
		asked.Unlock()
	}
}

// small are the tables of which a site has few rows, by name and by the alias
// a statement gives them: they may be read from end to end. A few grow with what
// people ask or look at by hand, and with pairs that are alike.
var small = []string{"challenge", "round", "host", "site", "c", "r", "season", "migration", "import", "participant", "p", "link_wish", "own_wish", "sqlite_schema", "question", "alike", "address_look", "look"}

// unindexed returns the statements whose plan reads a table that may be large
// from end to end.
func unindexed() ([]string, error) {
	dir, err := os.MkdirTemp("", "fairladle-plans-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	db, err := Open(ctx, filepath.Join(dir, "fairladle.db"), (&bench{}).options())
	if err != nil {
		return nil, err
	}
	defer db.Close()
	own, err := testSources()
	if err != nil {
		return nil, err
	}
	var found []string
	for _, query := range slices.Sorted(maps.Keys(asked.all)) {
		if strings.Contains(own, query) {
			continue // a test's own
		}
		tables, err := db.Scans(ctx, query)
		if err != nil {
			return nil, err
		}
		for _, t := range tables {
			if !slices.Contains(small, t) {
				found = append(found, fmt.Sprintf("%s is read from end to end: %s", t, strings.Join(strings.Fields(query), " ")))
			}
		}
	}
	return found, nil
}

// checkPlans runs after the tests: every statement that they ran uses an index
// on each table that may be large.
func checkPlans(code int) int {
	found, err := unindexed()
	if err != nil {
		fmt.Println("plans of statements:", err)
		return 1
	}
	for _, f := range found {
		fmt.Println("FAIL:", f)
		code = 1
	}
	return code
}

// The check finds a statement without an index.
func TestScansAreFound(t *testing.T) {
	b := openBench(t)
	for query, table := range map[string]string{
		`SELECT text FROM dish_version WHERE received_at > ?`:     "dish_version",
		`SELECT e.title FROM entry e ORDER BY e.ingredients`:      "e",
		`SELECT count(*) FROM ballot`:                             "ballot",
		`SELECT number FROM entry WHERE challenge_id = ? LIMIT 5`: "",
	} {
		tables, err := b.Scans(t.Context(), query)
		if err != nil || strings.Join(tables, " ") != table {
			t.Errorf("%s: %v, %v", query, tables, err)
		}
	}
}

func testSources() (string, error) {
	names, err := filepath.Glob("*_test.go")
	if err != nil {
		return "", err
	}
	var all strings.Builder
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			return "", err
		}
		all.Write(b)
	}
	return all.String(), nil
}
