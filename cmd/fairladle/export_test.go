package main

import (
	"archive/zip"
	"context"
	"io"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestExportMistakesAreExplained(t *testing.T) {
	for _, args := range [][]string{{"export"}, {"export", "cake"}, {"export", "site"}, {"export", "site", "--data", t.TempDir(), "--challenge", "x"}} {
		require.ErrorContains(t, run(context.Background(), args, io.Discard), "fairladle export site --data FOLDER", "%v", args)
	}
	require.ErrorContains(t, run(context.Background(), []string{"export", "site", "--data", t.TempDir(), "--challenge", "x", "x.zip"}, io.Discard), "holds no data")
}

// A copy is made while the server runs.
func TestExportOfTheDemonstration(t *testing.T) {
	if testing.Short() {
		t.Skip("filling the demonstration takes seconds; left out with -short")
	}
	dir, file := t.TempDir(), filepath.Join(t.TempDir(), "root-down.zip")
	running(t, "Stop with Ctrl-C", "demo", "--data", dir, "--listen", "127.0.0.1:0")
	out := &said{}
	require.NoError(t, run(context.Background(), []string{"export", "site", "--data", dir, "--challenge", "root-down", file}, out))
	require.Contains(t, out.String(), "files of what is public now")
	z, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer z.Close()
	require.Greater(t, len(z.File), 10)
	require.ErrorContains(t, run(context.Background(), []string{"export", "site", "--data", dir, "--challenge", "no-such", file}, io.Discard), "no public challenge")
}
