package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A shape says what a JSON value must be: "string", "number", "bool", "null",
// several with "|"; an object with the members it must have; a list of a shape.
// More members may be there.
type (
	members map[string]any
	listOf  struct{ of any }
)

var (
	wantSpan   = members{"min_minutes": "number", "max_minutes": "number"}
	wantRecipe = members{
		"title": "string",
		"yield": members{"text": "string", "servings": "number|null"},
		"components": listOf{members{
			"name": "string",
			"ingredients": listOf{members{"text": "string", "quantity": "null|object", "unit": "string", "name": "string",
				"preparation": "string", "optional": "bool"}},
			"steps": listOf{members{"text": "string", "durations": listOf{wantSpan},
				"temperatures": listOf{members{"value": "number", "unit": "string", "kind": "string"}}}},
		}},
		"allergens": listOf{members{"name": "string", "level": "string"}},
		"findings":  listOf{members{"code": "string", "text": "string", "at": members{"start": "number", "end": "number"}}},
	}
	// units that may be written, in the singular short form.
	unitWords = []string{"", "g", "kg", "mg", "ml", "cl", "dl", "l", "tsp", "tbsp", "cup", "oz", "lb", "fl oz", "pint", "quart", "gallon"}
)

func hold(t *testing.T, at string, want any, v any) {
	t.Helper()
	switch w := want.(type) {
	case members:
		o, ok := v.(map[string]any)
		require.True(t, ok, "%s is no object: %v", at, v)
		for k, inner := range w {
			require.Contains(t, o, k, at)
			hold(t, at+"."+k, inner, o[k])
		}
	case listOf:
		l, ok := v.([]any)
		require.True(t, ok, "%s is no list: %v", at, v)
		for i, x := range l {
			hold(t, fmt.Sprint(at, "[", i, "]"), w.of, x)
		}
	case string:
		kind := "null"
		switch v.(type) {
		case string:
			kind = "string"
		case float64:
			kind = "number"
		case bool:
			kind = "bool"
		case map[string]any:
			kind = "object"
		case []any:
			kind = "list"
		}
		require.Contains(t, "|"+w+"|", "|"+kind+"|", at)
	}
}

// What read --json prints has one shape, whatever comes in.
func TestReadJSONShape(t *testing.T) {
	files, err := filepath.Glob("../../challenge/recipe/testdata/own/*.[mt][dx]*")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	corpus, err := filepath.Glob("../../../shared/corpus/recipes/*/*")
	require.NoError(t, err)
	for i := 0; i < len(corpus); i += 6 {
		files = append(files, corpus[i])
	}
	temperatureUnits, kinds := []string{"C", "F", "gas", ""}, []string{"oven", "oil", "internal", "other"}
	for _, f := range files {
		var out bytes.Buffer
		if readCommand(t.Context(), []string{"--json", f}, &out) != nil {
			continue // a licence beside the recipes
		}
		d := json.NewDecoder(&out)
		for d.More() {
			var doc map[string]any
			require.NoError(t, d.Decode(&doc), f)
			hold(t, f, wantRecipe, doc)
			for _, c := range doc["components"].([]any) {
				part := c.(map[string]any)
				for _, x := range part["ingredients"].([]any) {
					in := x.(map[string]any)
					if q, ok := in["quantity"].(map[string]any); ok {
						hold(t, f, members{"min": "number", "max": "number"}, q)
						require.LessOrEqual(t, q["min"], q["max"], f)
					}
					u := in["unit"].(string)
					require.True(t, slices.Contains(unitWords, u) || len(u) > 2 && !strings.HasSuffix(u, ".") && (!strings.HasSuffix(u, "s") || strings.HasSuffix(u, "glass")), "%s: unit %q", f, u)
				}
				for _, x := range part["steps"].([]any) {
					step := x.(map[string]any)
					for _, v := range step["durations"].([]any) {
						require.LessOrEqual(t, v.(map[string]any)["min_minutes"], v.(map[string]any)["max_minutes"], f)
					}
					for _, v := range step["temperatures"].([]any) {
						require.Contains(t, temperatureUnits, v.(map[string]any)["unit"], f)
						require.Contains(t, kinds, v.(map[string]any)["kind"], f)
					}
				}
			}
			for _, a := range doc["allergens"].([]any) {
				require.Contains(t, []string{"sure", "may"}, a.(map[string]any)["level"], f)
			}
		}
	}
}
