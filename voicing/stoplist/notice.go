package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A leaflet has a programme round its stop list, a letter its greetings, a page its addresses. None of it is a stop, though a piece may be for
// trumpet and its composer's name may be that of a rank.

const (
	pieceForms = `preludes?|praeludi(?:um|en)|pr[aä]ambulum|präludi(?:um|en)|pr[ée]ludes?|preludi[oa]|fugues?|fugen?|fug[ah]e?|fughetta|toccat[ae]|tokkata|toccatina|fantas(?:ia|ie|y)|fantaisies?|sonat[ae]s?|sonatin[ae]|passacagli[ae]|passacailles?|cha[ck]onn?e|ciac+on[ae]|choralvorspiele?|chorale preludes?|choral preludes?|choralpartita|partit[ae]|voluntar(?:y|ies)|tientos?|offertoire|offertory|variations|variationen|variazioni|variaciones|variaties|magnificat|te deum|ave maria|adagio|allegro|allegretto|andante|andantino|largo|scherzo|scherzando|finale|intermezzo|rond[oò]|canzonas?|ricercare?s?|psalms?|hymns?|meditations?|méditation|impromptu|cantabile|rhapsody|elegy|trio sonata|triosonate|symphon(?:y|ie)|sinfonia|wedding march|processional|anthem|sortie|élévation|gavotte|menuett?o?|gigue|improvisations?|improvisationen|berceuse|carillon de`
	weekdays   = `(?:sun|mon|tues|wednes|thurs|fri|satur)day|(?:sonn|mon|diens|donners|frei|sams)tag|mittwoch|dimanche|lundi|mardi|mercredi|jeudi|vendredi|samedi|domenica|lunedi|martedi|mercoledi|giovedi|venerdi|sabato|domingo|lunes|martes|miercoles|jueves|viernes|sabado|(?:zon|maan|dins|woens|donder|vrij|zater)dag`
)

var (
	// pieceOfMusic names a work by its form, its catalogue or its key.
	pieceOfMusic = lazyregexp.New(`\b(?:` + pieceForms + `)\b|\b(?:bwv|buxwv|hwv|bux ?wv|kv|woo|rv) ?\d|\bop\. ?\d+,? (?:no|nr|n)|\b(?:in|en|aus) [a-h](?:is|es)?(?: flat| sharp|-flat|-sharp)?[ -](?:major|minor|dur|moll|majeur|mineur|maggiore|minore|mayor|menor|groot|klein)\b|\ben (?:do|ut|re|mi|fa|sol|la|si)(?: diese| bemol| bemolle)? (?:majeur|mineur|maggiore|minore|mayor|menor)\b`)
	// notice is what a leaflet or a page says beside its list.
	notice = lazyregexp.New(`\b(?:recitals?|retiring collection|admission|eintritt|entree libre|entree gratuite|ingresso libero|entrada libre|toegang|konzertprogramm|orgelkonzert|programme|tickets?|abendkasse|kollekte|interval|(?:` + weekdays + `)s?)\b|www\.|https?:|\w@\w|©|\b(?:copyright|all rights reserved|alle rechte|tous droits|photos?|fotos?|foto's|telefon|phone|telephone|e-?mail|impressum|datenschutz|cookies?|zuletzt bearbeitet|last edited|last updated|back to top|nach oben|print this page|seite drucken|retrieved|abgerufen am|consulte le|geraadpleegd)\b|\b(?:tel|fax)\.? ?[+:(\d]`)
	// farewell ends a letter: what stands below it is its writer.
	farewell = lazyregexp.New(`^(?:-- ?$|(?:(?:with )?(?:kind|best|warm|many)(?:est)? (?:regards|wishes|thanks)|regards|yours(?: \pL+)?|cheers|thanks(?: .{0,20})?|many thanks.*|mit (?:freundlichen|besten|herzlichen) gr(?:u|ue)(?:ss|ß)en|(?:viele|liebe|herzliche|beste) gr(?:u|ue)(?:ss|ß)e.*|mfg|vg|lg|(?:bien )?(?:cordialement|amicalement)(?: .{0,12})?|bien a (?:vous|toi)|met (?:vriendelijke|hartelijke) groet(?:en)?|(?:hartelijke |vriendelijke )groet(?:en|jes)?|(?:cordiali|distinti) saluti|un (?:cordiale )?saluto|saluti|(?:un )?(?:cordial )?saludos?(?: cordiales)?|un abrazo|abrazos|(?:med )?venlig hilsen|(?:med )?v(?:a|e)nlig(?:a)? h(?:a|i)lsn?ing(?:ar)?)[,.! ]*$|sent from my |von mein(?:em|er) .{2,20} gesendet|gesendet von |envoye de mon |inviato da |enviado desde |verzonden vanaf )`)
	// greeting begins one.
	greeting = lazyregexp.New(`^(?:hi|hello|hallo|hoi|dear|liebe[rs]?|lieve|beste|cher|chere|caro|cara|ciao|bonjour|hola|querid[oa]|sehr geehrte[rs]?|guten (?:tag|morgen|abend)|grüezi|gruezi|salut)\b[^:\d]{0,40}[,!]$`)
	// letterHead is a line of an electronic letter's head.
	letterHead = lazyregexp.New(`^(?:from|to|cc|subject|date|sent|von|an|betreff|gesendet|datum|de|a|objet|envoye|oggetto|inviato|da|asunto|para|enviado|onderwerp|aan|van|verzonden): .*`)
)

// noticed reads a line that belongs to the page or letter round the list; none of it is read, and the list ends with a programme or a farewell
// behind its stops.
func (r *reader) noticed(line string) bool {
	low := plain(line)
	switch {
	case farewell.MatchString(low):
		r.over = r.over || r.anyStops() && !r.stopsAhead()
	case greeting.MatchString(low):
	case !r.anyStops() && letterHead.MatchString(low) && (strings.Contains(low, "@") || r.list.Title == "" && strings.HasPrefix(low, "subject:")):
	case r.over && len(spansOfFeet(line)) == 0 && !headsDivision(line) && !looksLikeCoupler(line):
	case r.isNotice(line, low):
		r.programme = true
		r.over = r.over || r.anyStops() && !r.stopsAhead()
	default:
		return false
	}
	r.say(IsProse, "no part of the stop list", "")
	return true
}

// headsDivision tells whether a line heads a division, alone or with its stops behind a colon.
func headsDivision(line string) bool {
	label, _, _ := strings.Cut(stripBullet(line), ":")
	_, ok := heading(label)
	return ok
}

// isNotice tells whether a line is a piece of a programme or a notice, and nothing in it is a stop with its length, a heading, a coupler or a fact.
func (r *reader) isNotice(line, low string) bool {
	if !notice.MatchString(low) && !pieceOfMusic.MatchString(low) || len(strings.Fields(low)) > 20 {
		return false
	}
	if slices.ContainsFunc(spans(line), func(s span) bool { return s.marked }) || looksLikeCoupler(line) || tremulantText.MatchString(line) {
		return false
	}
	_, head := heading(stripBullet(line))
	return !head && sectionOf(line) == "" && !isExtra(low)
}

// stopsAhead tells whether a division is headed below the line under way.
func (r *reader) stopsAhead() bool {
	for i := r.at + 1; i < len(r.lines); i++ {
		line := strings.TrimSpace(stripBullet(tidy(r.lines[i])))
		if len(line) > 60 {
			continue
		}
		if label, _, found := strings.Cut(line, ":"); found {
			line = label
		}
		if d, ok := heading(line); ok && d.Role != "" {
			return true
		}
	}
	return false
}
