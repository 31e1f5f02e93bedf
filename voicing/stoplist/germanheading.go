package stoplist

import "afterchord/acoustics/lazyregexp"

var (
	// leadIn stands before the name of a division: "Ins Pedal", "Auf dem Hauptwerk".
	leadIn = lazyregexp.New(`(?i)^(?:ins|zum|in das|in dem|auf dem|auf das) `)
	// clavierNamed says behind a division which of the keyboards plays it, as old contracts do: "Ober-Werk zum obersten Clavier".
	clavierNamed = lazyregexp.New(`(?i),? (?:im|zum|ins|auf dem|in dem) (?:unter|mittl|mittel|ober|haupt)\pL* ?(?:[ck]lavier|manual)\b`)
	// playedFrom names the manual that plays a division in brackets: "auf IV", "von IV. Manual spielbar".
	playedFrom = lazyregexp.New(`(?i)^[(\[ ]*(?:auf|von|vom|am|spielbar (?:auf|von|vom)) ((?:manual )?(?:I{1,3}|IV|V|[1-5])\.?(?: manual)?)(?: aus)?(?: spielbar)?[)\] ]*$`)
)
