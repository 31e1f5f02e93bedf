package main

import (
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"afterchord/acoustics/lazyregexp"
	"afterchord/render/report"
	"afterchord/render/results"
)

// browsers are the commands that can print a page without a window.
var browsers = []string{"chromium", "chromium-browser", "google-chrome", "chrome"}

// sheetFiles are the files of a lesson sheet.
var sheetFiles = []string{"sheet.html", "sheet.pdf"}

// writeSheet writes sheet.html and, where a browser is there to print it, sheet.pdf.
func writeSheet(ctx context.Context, s report.Sheet, out string, messages io.Writer) error {
	page := filepath.Join(out, "sheet.html")
	if err := writeResult(page, func(w io.Writer) error { return report.WriteSheet(w, s) }); err != nil {
		return err
	}
	for _, b := range browsers {
		if path, err := exec.LookPath(b); err == nil {
			if err := printPDF(ctx, path, page, filepath.Join(out, "sheet.pdf")); err != nil {
				fmt.Fprint(messages, results.Public(fmt.Sprintf("afterchord: sheet.pdf was not made (%v); print %s from a browser\n", err, page)))
			}
			return nil
		}
	}
	fmt.Fprintf(messages, "afterchord: no browser found to make sheet.pdf; print %s from a browser\n", results.Public(page))
	return nil
}

// printPDF lets a browser print a page; the file appears whole or not at all.
func printPDF(ctx context.Context, browser, page, pdf string) error {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	profile, err := os.MkdirTemp("", "afterchord-print-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(profile)
	abs, err := filepath.Abs(page)
	if err != nil {
		return err
	}
	made := filepath.Join(profile, "sheet.pdf")
	args := []string{"--headless", "--disable-gpu", "--no-pdf-header-footer", "--virtual-time-budget=20000", // the bars are engraved before it is printed
		"--user-data-dir=" + profile, "--print-to-pdf=" + made}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // the browser refuses to run as root with it
	}
	cmd := exec.CommandContext(ctx, browser, append(args, (&url.URL{Scheme: "file", Path: abs}).String())...)
	if err := cmd.Run(); err != nil {
		return err
	}
	data, err := os.ReadFile(made)
	if err != nil {
		return err
	}
	return writeResult(pdf, filled(pdfDate.Regexp().ReplaceAll(data, []byte("${1}20000101000000+00'00'"))))
}

// pdfDate is when a browser made a PDF file: left as it is, the same sheet would have other bytes each time.
var pdfDate = lazyregexp.New(`(/(?:CreationDate|ModDate) \(D:)\d{14}[+-]\d\d'\d\d'`)
