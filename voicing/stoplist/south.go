package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// What lists of Italy, Spain, Catalonia and Portugal write in signs of their own is written as the other patterns know it.

var (
	// ordinalKeyboard is a keyboard by its number in order: "2n teclat", "1.er teclado", "3ª tastiera", "Terceiro teclado".
	ordinalKeyboard = lazyregexp.New(`(?i)(^|[\s,;:(\[\-])(?:([1-5])(?:\.? ?(?:°|ª|er|ero|ra|re|ro|r|n|on|t|o|a|da|do))|(primeiro|primera|segon|segona|segunda|terceiro|tercera|terç|quart|quarto|quarta|cuarto|quinto)) (teclado|teclat|tastiera|tast\.|manuale|manual|man\.|clavier)($|[\s,;:)\]\-.])`)
	// firstKeyboard is one in words with the name of its division behind it: "Prima tastiera (Positivo tergale)".
	firstKeyboard = lazyregexp.New(`(?i)^(\s*)(prima|primo|seconda|secondo|terza|terzo|quarta|primer|primera|segundo|tercer) (tastiera|manuale|teclado|manual|teclat)( ?[(\-:]+ ?\pL)`)
	ordinalRoman  = map[string]string{"1": "I", "2": "II", "3": "III", "4": "IV", "5": "V", "primeiro": "I", "primera": "I", "segon": "II", "segona": "II", "segunda": "II", "terceiro": "III", "tercera": "III", "terç": "III", "prima": "I", "primo": "I", "primer": "I", "seconda": "II", "secondo": "II", "segundo": "II", "terza": "III", "terzo": "III", "tercer": "III", "quart": "IV", "quarto": "IV", "quarta": "IV", "cuarto": "IV", "quinto": "V"}
	// accentedKey is a key with the accents of Portugal: "Dó1", "Fá#3".
	accentedKey  = lazyregexp.New(`(?i)(^|[^\pL])(dó|ré|fá|lá)( ?#? ?[1-6]($|[^\d]))`)
	withoutAcute = strings.NewReplacer("ó", "o", "é", "e", "á", "a", "Ó", "O", "É", "E", "Á", "A")
	// palmsAndFeet is the length of a stop in palms and behind it in feet: "Flautat de 14 pams 8'".
	palmsAndFeet = lazyregexp.New(`(?i) (?:de |em |en )?\d{1,2} (?:palmos|palms|pams|p\.),? \(?(\d{1,2} ?'|\d{1,2}\))`)
	// nasardDegree is "Nasard 15a".
	nasardDegree = lazyregexp.New(`(?i)(^|[^\pL])(na[sz]+ar[dt][eo]?s?|flauta|flaut) (?:en )?(12|15|17|19|22) ?a($|[^\pL])`)
	// enganchesOf leads to pairs with no colon: "Enganches II/I, I/P".
	enganchesOf = lazyregexp.New(`(?i)^(\s*)(enganches|acoplamientos|unioni|uniones|accoppiamenti) ((?:I{1,3}|IV)[/\-])`)
	// spelledContras are the keys of a small pedal in words: "ocho pisas".
	spelledContras = lazyregexp.New(`(?i)(^|[^\pL])(ocho|oito|vuit|otto|nueve|nove|diez|dez|dieci|doce|doze|dotze|dodici|trece|treze|diecisiete|diciassette|dieciocho|diciotto|dezoito) (pisas|contras|contres|peanas|pedales|pedais|pedali|notas|note|teclas|tasti)`)
	contrasInWord  = map[string]string{"ocho": "8", "oito": "8", "vuit": "8", "otto": "8", "nueve": "9", "nove": "9", "diez": "10", "dez": "10", "dieci": "10", "doce": "12", "doze": "12", "dotze": "12", "dodici": "12", "trece": "13", "treze": "13", "diecisiete": "17", "diciassette": "17", "dieciocho": "18", "diciotto": "18", "dezoito": "18"}
)

// southernSigns writes a line of such a list so.
func southernSigns(s string) string {
	s = ordinalKeyboard.ReplaceAllStringFunc(s, func(m string) string {
		g := ordinalKeyboard.FindStringSubmatch(m)
		return g[1] + ordinalRoman[strings.ToLower(g[2]+g[3])] + " " + g[4] + g[5]
	})
	s = firstKeyboard.ReplaceAllStringFunc(s, func(m string) string {
		g := firstKeyboard.FindStringSubmatch(m)
		return g[1] + ordinalRoman[strings.ToLower(g[2])] + " " + g[3] + g[4]
	})
	s = accentedKey.ReplaceAllStringFunc(s, withoutAcute.Replace)
	s = palmsAndFeet.ReplaceAllString(s, " $1")
	s = nasardDegree.ReplaceAllString(s, "$1$2 ${3}ª$4")
	s = enganchesOf.ReplaceAllString(s, "$1$2: $3")
	return spelledContras.ReplaceAllStringFunc(s, func(m string) string {
		g := spelledContras.FindStringSubmatch(m)
		return g[1] + contrasInWord[strings.ToLower(g[2])] + " " + g[3]
	})
}

// southernRemark is what a heading says of its keyboard beside name, number and compass.
var southernRemark = lazyregexp.New(`(?i)[ ,;(\-–]+(?:(?:con|amb|com|a) (?:la )?)?(?:(?:prima |1ª )?ottava (?:corta|scavezza|cromatica|in sesta)|octava (?:corta|tendida|cromática)|oitava (?:curta|corrida)|prima corta)\b|[ ,;(\-–]+(?:sense|senza|sin|sem) (?:do|re|fa|sol)[ #♯]*\d?#?|[ ,;(\-–]+(?:tastiera|teclado|teclat|manuale?) (?:superiore?|inferiore?|inferior|superior|central|centrale|di mezzo|d'alt|de baix)\b|[ ,;(\-–]+(?:divisione?|divis[oa]|div\.|partid[oa]|partit)(?: (?:bassi/soprani|bassi e soprani|entre|tra|fra|en|a|ai|al))*(?: (?:do|re|mi|fa|sol|la|si)?[a-h]? ?#?\d?'?#?(?: ?[\-/] ?| e | y | i )?){0,2}|[ ,;(\-–]+n\.? ?°? ?\d{1,2} registri\b|[ ,;(\-–]+(?:concavo[- ]?radiale|concav[oa]|radiale?|cóncav[oa](?: y radial)?|a leggio|piana|dritta|parallela|diritta|reta|recta|de concha)\b`)

// aheadOfDivision leads to the name of a division over its stops: "Al Grand'Organo", "All'Organo Piccolo".
var aheadOfDivision = lazyregexp.New(`^(?i:all'|al |alla |nel |nella |nell')(\p{Lu})`)
