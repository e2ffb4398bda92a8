package challenge_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

func TestPublicationCheck(t *testing.T) {
	for name, x := range map[string]struct {
		p     challenge.Publication
		field string // that is refused; empty for none
	}{
		"nothing":               {challenge.Publication{}, ""},
		"video":                 {challenge.Publication{VideoURL: "https://video.example/w?v=1", VideoTitle: "The tasting", Still: "00ff"}, ""},
		"sponsor alone":         {challenge.Publication{Sponsor: "Mill & Sons"}, ""},
		"script as an address":  {challenge.Publication{VideoURL: "javascript:alert(1)"}, "video_url"},
		"address without host":  {challenge.Publication{VideoURL: "https:/watch"}, "video_url"},
		"password in it":        {challenge.Publication{VideoURL: "https://a:b@video.example/"}, "video_url"},
		"title without a video": {challenge.Publication{VideoTitle: "The tasting"}, "video_url"},
		"picture without one":   {challenge.Publication{Still: "00ff"}, "video_url"},
		"address of nobody":     {challenge.Publication{SponsorURL: "https://mill.example"}, "sponsor"},
		"two lines":             {challenge.Publication{Sponsor: "Mill\nSons"}, "sponsor"},
		"endless":               {challenge.Publication{Sponsor: strings.Repeat("m", challenge.MaxTitle+1)}, "sponsor"},
	} {
		err := x.p.Check()
		if x.field == "" {
			require.NoError(t, err, name)
			continue
		}
		require.ErrorAs(t, err, new(challenge.Refusals), name)
		require.Equal(t, x.field, err.(challenge.Refusals)[0].Field, name)
	}
}
