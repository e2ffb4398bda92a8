package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlanPrintsTheService(t *testing.T) {
	dir := t.TempDir()
	stew, salad := filepath.Join(dir, "stew.txt"), filepath.Join(dir, "salad.txt")
	require.NoError(t, os.WriteFile(stew, []byte("Bean stew\n\nServes 4\n\n400 g dried beans\n2 onions, diced\n2 tbsp oil\n\n"+
		"Fry the onions in the oil for 8 minutes. Add the beans and simmer for 60 minutes."), 0o600))
	require.NoError(t, os.WriteFile(salad, []byte("Tomato salad\n\nServes 2\n\n4 tomatoes, sliced\n1 onion, diced\n1 tbsp oil\n\nToss the tomatoes with the onion and the oil."), 0o600))
	calendar := filepath.Join(dir, "day.ics")
	var out bytes.Buffer
	require.NoError(t, run(t.Context(), []string{"plan", stew, salad, "--serve", "2027-01-30 18:00", "--portions", "6", "--cooks", "Ana",
		"--zone", "Europe/Lisbon", "--have", "oil", "--calendar", calendar}, &out))
	said := out.String()
	require.Contains(t, said, "Shopping for 6 portions")
	require.Contains(t, said, "- 6 onion", "two for four and one for two, for six portions")
	require.Contains(t, said, "(3 for Bean stew; 3 for Tomato salad)")
	require.NotContains(t, said, "tbsp oil\n- ", "what is in the pantry is not bought")
	require.Contains(t, said, "Saturday 30 January")
	require.Contains(t, said, "On the table at 18:00.")
	require.Contains(t, said, "Ana: ")
	require.Contains(t, said, "Local food-safety rules come first.")
	file, err := os.ReadFile(calendar)
	require.NoError(t, err)
	require.Contains(t, string(file), "BEGIN:VEVENT")
	require.Contains(t, string(file), "20270130T180000Z")
}

func TestPlanSaysWhatToType(t *testing.T) {
	var out bytes.Buffer
	require.ErrorContains(t, run(t.Context(), []string{"plan"}, &out), "--serve")
	file := filepath.Join(t.TempDir(), "tea.txt")
	require.NoError(t, os.WriteFile(file, []byte("Tea\n\n1 l water\n\nBoil the water for 5 minutes."), 0o600))
	require.ErrorContains(t, run(t.Context(), []string{"plan", file, "--serve", "tonight"}, &out), "2027-01-30 18:00")
	require.ErrorContains(t, run(t.Context(), []string{"plan", file, "--serve", "2027-01-30 18:00", "--portions", "0"}, &out), "--portions")
	out.Reset()
	require.NoError(t, run(t.Context(), []string{"plan", file, "--serve", "2027-01-30 18:00", "--burners", "0"}, &out))
	require.Contains(t, out.String(), "the kitchen has none of: hob burner")
}

func TestPlanCountsWhatFits(t *testing.T) {
	file := filepath.Join(t.TempDir(), "fritters.txt")
	require.NoError(t, os.WriteFile(file, []byte("Fritters\n\nServes 4\n\n300 g flour\n2 eggs\n\nMix flour and eggs.\nDeep-fry the fritters for 6 minutes."), 0o600))
	var out bytes.Buffer
	require.NoError(t, run(t.Context(), []string{"plan", file, "--serve", "2027-01-30 18:00", "--portions", "12", "--equipment", "deep fryer=1/3"}, &out))
	require.Contains(t, out.String(), "Deep-fry the fritters, 24 min", "four batches of six minutes")
	require.Contains(t, out.String(), "Wanted, the most important first:")
	require.Contains(t, out.String(), "Lay out")
	require.ErrorContains(t, run(t.Context(), []string{"plan", file, "--serve", "2027-01-30 18:00", "--equipment", "fryer=x"}, &out), "deep fryer=1/3")
}
