package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestBenchmarkTakesFilesAndFolders(t *testing.T) {
	folder := "../../challenge/kitchen/schedule/testdata"
	var out bytes.Buffer
	require.NoError(t, run(t.Context(), []string{"benchmark", folder + "/ft06.txt", "--limit", "5s"}, &out))
	require.Regexp(t, `(?m)^instance +makespan +bound +proved +seconds$`, out.String())
	require.Regexp(t, `(?m)^ft06 +55 +55 true`, out.String()) // Fisher and Thompson 1963, optimum 55
	require.NotContains(t, out.String(), "la01", "one file means one file")
	require.ErrorContains(t, run(t.Context(), []string{"benchmark"}, &out), "name files or folders")
	require.Error(t, run(t.Context(), []string{"benchmark", folder + "/missing.sm"}, &out))
}
