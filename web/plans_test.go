package web_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fairladle/store"
	"fairladle/store/plans"
)

// watched are the statements that the pages of this package's tests run.
var watched plans.Watch

// After the tests every statement that they ran is explained: it must use an
// index on each table that may be large.
func TestMain(m *testing.M) {
	code := m.Run()
	found, err := unindexed()
	if err != nil {
		found = append(found, fmt.Sprint("FAIL: plans of statements: ", err))
	}
	for _, f := range found {
		fmt.Println(f)
		code = 1
	}
	os.Exit(code)
}

func unindexed() ([]string, error) {
	dir, err := os.MkdirTemp("", "fairladle-plans-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	db, err := store.Open(context.Background(), filepath.Join(dir, "fairladle.db"), store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return nil, err
	}
	defer db.Close()
	return watched.Unindexed(context.Background(), db, "")
}
