package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A page about an organ speaks of its case, its console, its wind and its past in short lines among the stops and behind them. They name no
// stop; what of them a description can say is read before (facts.go).

var (
	// building is what an organ is made of beside its pipes.
	building = lazyregexp.New(`\b(?:\pL*gehause|\pL*mensur(?:en)?|\pL*mensuriert\pL*|prospekt(?:e|s)?|prospektpfeifen|\pL*spieltisch(?:e|s)?|spielschrank|spielanlage|\pL*windladen?|\pL*laden|\pL*balge?|\pL*geblase|schleudergeblase|\pL*motor|pfeifen|pfeifenwerk|registerzuge|registerknopfe|registerwippen|manubrien|orgelbank|notenpult|emporenbrustung` +
		`|case|casework|facade|console|jambs|stop ?jambs|stop ?keys|stop ?tabs|tabs|draw ?knobs|blower|bellows|reservoirs?|wind ?chests?|slider ?chests?|pedalboard|bench|pipework|front pipes|dummy pipes` +
		`|buffet|boiserie|console|sommiers?|soufflerie|soufflets?|ventilateur|tuyauterie|facade|tribune|abrege|postages|turbine|reservoir` +
		`|cassa|cantoria|facciata|prospetto|consolle|somier[ei]|mantic[ei]|elettroventilatore|registriera|manette|leggio` +
		`|caja|fachada|consola|secretos?|fuelles?|ventilador|coro|tuberia|caixa|fachada|foles?` +
		`|kas|orgelkas|hoofdkas|rugwerkkas|front|frontpijpen|speeltafel|windladen?|\pL*balg(?:en)?|windmotor|klaviatuur|klaviaturen|registerknoppen|orgelbank|wapenschild` +
		`|orgelhus|fasad|spelbord|spilleb(?:o|ø)rd|facade|vindlader?|b(?:a|ä)lgar?)\b`)
	// past is what was done to it, and when.
	past = lazyregexp.New(`\b(?:erbaut|gebaut|umgebaut|neubau|umbau|restauriert|restaurierung|renoviert|renovierung|gereinigt|reinigung|uberholt|erweitert|erweiterung|geweiht|orgelweihe|eingeweiht|einweihung|abgebaut|verkauft|denkmalgeschutzt|jahrhunderts?|generaluberholung` +
		`|built|rebuilt|restored|restoration|renovated|cleaned|overhauled|enlarged|moved|dedicated|installed|opened|revoiced|releathered|century|opus` +
		`|construit|construction|reconstruit|reconstruction|restaure|restauration|relevage|releve|inaugure|benediction|beni|classe|monument historique|siecle|agrandi|transforme|electrifie` +
		`|costruito|ricostruito|restaurato|restauro|collaudato|collaudo|inaugurato|ampliato|riformato|secolo` +
		`|construido|reconstruido|restaurado|restauracion|reformado|inaugurado|ampliado|siglo|seculo` +
		`|gebouwd|herbouwd|gerestaureerd|restauratie|uitgebreid|ingebruikname|vernieuwd|eeuw|rijksmonument|monumentnummer` +
		`|byggd|byggt|bygget|ombyggd|restaurerad|restaureret|restaurert|renoverad|invigd|indviet|arhundrade)\b|\bop(?:us)?\.? ?\d+\b`)
	// playing is what the player works beside keys and stops.
	playing = lazyregexp.New(`\b(?:(?:piano|forte|mezzoforte|balancier|schwell|kollektiv|piano- und forte)\pL*(?:tritte?|pedale?)|winddrossel|wechselschleife|sperrventile?|auslosungen?|handregister (?:ab|an)|koppeln? (?:ab|aus|weg)|\pL*koppeln? ab|coupler cancel|couplers? off|cancel|manual transfer|(?:manual )?i/ii transfer|transfer|gt ?(?:&|and) ?ped combs?(?: coupled)?` +
		`|tiraripieno|tirapieno|tira ?tutti|distacco \pL+|pedaletti?|pedaloni?|zampogna|campanelli|grilli|combinacion(?:es)? (?:libres?|fijas?)|anulador(?:es)?|estrella|rueda de campanas|lengueteria|teclado partido|registros partidos|octava corta|octava tendida|(?:prima )?ottava corta|octave courte|kurze (?:grosse )?oktave|short octave|korte? octaaf` +
		`|etoile(?: sonore)?|grelots|grele|chant d'oiseaux?|annulateurs?|renvois?|zweltrede|zwelpedaal|zweltred|zwelkast|cymbelster(?:ren)?|cimbelster|nachtegaal|samenstelling(?:en)?|afsluit\pL*|kalkant(?:klok|schel)?|klokkenspel|vogelgezang|koekoek|svallare|sveller|cymbelstjarna|cymbelstjerne|fotplade)\b`)
)

// aboutOrgan tells whether a short line, without case and accents, speaks of the organ and names no stop of it.
func aboutOrgan(low string) bool {
	return building.MatchString(low) || past.MatchString(low) || playing.MatchString(low)
}

// wordOfSentences stands between the others of a sentence and in no list of stops.
var wordOfSentences = lazyregexp.New(`(?:^| )(?:der|die|das|den|dem|des|ein|eine|einer|eines|von|am|zur|zum|beim|durch|wurde|wurden|ist|sind|war|hat|spielt|spielen|nahm|ab|unter|nach|seit|bis|im|the|of|was|is|are|has|by|at|le|la|les|du|est|sont|par|il|lo|della|del|un|una|het|een|is|werd|door)(?:[ ,.]|$)`)

// isSentence tells a sentence from a list: it ends as one and has the small words that tie a sentence together.
func isSentence(text string, words int) bool {
	if words < 6 || !strings.HasSuffix(strings.TrimSpace(text), ".") || len(spansOfFeet(text)) > 0 || looksLikeCoupler(text) {
		return false
	}
	return len(wordOfSentences.FindAllStringIndex(strings.ReplaceAll(text, " ", "  "), 3)) > 1
}
