package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairladle/store/plans"
)

// watched are the statements that this package's tests run.
var watched plans.Watch

// unindexed explains them on a new database.
func unindexed() ([]string, error) {
	dir, err := os.MkdirTemp("", "fairladle-plans-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	db, err := Open(context.Background(), filepath.Join(dir, "fairladle.db"), (&bench{}).options())
	if err != nil {
		return nil, err
	}
	defer db.Close()
	own, err := testSources()
	if err != nil {
		return nil, err
	}
	return watched.Unindexed(context.Background(), db, own)
}

// checkPlans runs after the tests: every statement that they ran uses an index
// on each table that may be large.
func checkPlans(code int) int {
	found, err := unindexed()
	if err != nil {
		fmt.Println("FAIL: plans of statements:", err)
		return 1
	}
	for _, f := range found {
		fmt.Println(f)
		code = 1
	}
	return code
}

// The check finds a statement without an index, and passes over one of a small
// table.
func TestScansAreFound(t *testing.T) {
	b := openBench(t)
	for query, table := range map[string]string{
		`SELECT text FROM dish_version WHERE received_at > ?`:     "dish_version",
		`SELECT e.title FROM entry e ORDER BY e.ingredients`:      "e",
		`SELECT count(*) FROM ballot`:                             "ballot",
		`SELECT number FROM entry WHERE challenge_id = ? LIMIT 5`: "",
		`SELECT title FROM round`:                                 "round",
	} {
		tables, err := b.Scans(t.Context(), query)
		if err != nil || strings.Join(tables, " ") != table {
			t.Errorf("%s: %v, %v", query, tables, err)
		}
		var w plans.Watch
		w.Told(query)
		found, err := w.Unindexed(t.Context(), b, "")
		if wrong := table != "" && table != "round"; err != nil || (len(found) == 1) != wrong {
			t.Errorf("%s: %v, %v", query, found, err)
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
