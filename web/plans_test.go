package web_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairladle/store"
)

// asked are the statements that the pages of this package's tests have run.
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

func TestMain(m *testing.M) {
	code := m.Run()
	found, err := unindexed()
	if err != nil {
		fmt.Println("FAIL: plans of statements:", err)
		code = 1
	}
	for _, f := range found {
		fmt.Println("FAIL:", f)
		code = 1
	}
	os.Exit(code)
}

// unindexed returns the statements that read a table which may be large from
// end to end.
func unindexed() ([]string, error) {
	dir, err := os.MkdirTemp("", "fairladle-plans-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	db, err := store.Open(ctx, filepath.Join(dir, "fairladle.db"), store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return nil, err
	}
	defer db.Close()
	var found []string
	for _, query := range slices.Sorted(maps.Keys(asked.all)) {
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
