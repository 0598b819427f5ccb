package main

import (
	"bytes"
	"context"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/tidy/needs"

	"github.com/chromedp/chromedp"
)

// TestReportInABrowser opens the report of a check in a real browser, wide and
// narrow: it must show its sections, fit the window, and load nothing.
func TestReportInABrowser(t *testing.T) {
	browser := findBrowser()
	if browser == "" {
		needs.Something(t, "there is no chromium on this machine")
	}
	page := filepath.Join(t.TempDir(), "verdict.html")
	var out, errs bytes.Buffer
	if status := run([]string{"check", "--world", "antennas-swapped", "--report", page}, &streams{Out: &out, Err: &errs}); status != statusFound {
		t.Fatalf("status %d: %s", status, errs.String())
	}

	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(browser), chromedp.NoSandbox,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()))
	allocator, stopAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	defer stopAllocator()
	ctx, stop := chromedp.NewContext(allocator)
	defer stop()
	// The first run starts the browser and must not carry a time limit.
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start the browser: %v", err)
	}
	limited, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()

	for _, width := range []int64{1200, 390} {
		if err := chromedp.Do(limited, chromedp.EmulateViewport(width, 900), chromedp.Navigate("file://"+page)); err != nil {
			t.Fatalf("width %d: %v", width, err)
		}
		text := evaluate[string](t, limited, `document.querySelector("main").innerText`)
		wide := evaluate[int](t, limited, `document.documentElement.scrollWidth - document.documentElement.clientWidth`)
		resources := evaluate[int](t, limited, `performance.getEntriesByType("resource").length`)
		for _, section := range []string{"Verdict", "Measure next", "Chain", "Findings", "Likely causes", "Timing per command", "What was understood", "Cautions", "Simulated"} {
			if !strings.Contains(text, section) {
				t.Errorf("width %d: the page does not show %q", width, section)
			}
		}
		if wide > 0 {
			t.Errorf("width %d: the page is %d pixels wider than the window", width, wide)
		}
		if resources > 0 {
			t.Errorf("width %d: the page loaded %d things", width, resources)
		}
	}
}

func evaluate[T any](t *testing.T, ctx context.Context, expression string) T {
	t.Helper()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return value
}

func findBrowser() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}
