package wording

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestEnglish(t *testing.T) {
	for _, c := range []struct {
		s    Sentence
		want string
	}{
		{Of("50 % of it"), "50 % of it"},
		{Of("How much of “%v”?", "leek"), "How much of “leek”?"},
		{Count(1, "one day", "%v days"), "one day"},
		{Count(3, "one day", "%v days"), "3 days"},
		{Of("It has %v.", List{"eggs", Of("milk"), "wheat"}), "It has eggs, milk and wheat."},
		{Of("%v left", Count(2, "one hour", "%v hours")), "2 hours left"},
		{Of("%v", List{}), ""},
	} {
		require.Equal(t, c.want, c.s.String())
	}
	require.True(t, Sentence{}.IsZero())
}

func TestASentenceSurvivesAFile(t *testing.T) {
	word := rapid.Custom(func(t *rapid.T) any { return rapid.String().Draw(t, "word") })
	number := rapid.Custom(func(t *rapid.T) any { return rapid.Int().Draw(t, "number") })
	leaf := rapid.OneOf(word, number)
	inner := rapid.Custom(func(t *rapid.T) any {
		return Sentence{Text: "a" + rapid.StringMatching("[a-z %]*").Draw(t, "text"), Args: rapid.SliceOfN(leaf, 1, 3).Draw(t, "args")}
	})
	list := rapid.Custom(func(t *rapid.T) any { return List(rapid.SliceOfN(leaf, 1, 3).Draw(t, "list")) })
	rapid.Check(t, func(t *rapid.T) {
		s := Sentence{Text: rapid.String().Draw(t, "text"), Args: rapid.SliceOfN(rapid.OneOf(leaf, inner, list), 1, 4).Draw(t, "args")}
		b, err := json.Marshal(s)
		require.NoError(t, err)
		var back Sentence
		require.NoError(t, json.Unmarshal(b, &back))
		require.Equal(t, s, back)
	})
	var old Sentence
	require.NoError(t, json.Unmarshal([]byte(`"Plain."`), &old))
	require.Equal(t, Of("Plain."), old)
}
