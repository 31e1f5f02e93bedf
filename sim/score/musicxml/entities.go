package musicxml

import (
	"html"
	"strings"
	"sync"
)

// latin are the names of the character entities that the DTD of MusicXML takes in: ISO 8879 Added Latin 1 and
// Added Latin 2 (isolat1.ent and isolat2.ent). HTML gives them the same characters.
const latin = `aacute Aacute acirc Acirc agrave Agrave aring Aring atilde Atilde auml Auml aelig AElig ccedil Ccedil eth ETH
eacute Eacute ecirc Ecirc egrave Egrave euml Euml iacute Iacute icirc Icirc igrave Igrave iuml Iuml ntilde Ntilde
oacute Oacute ocirc Ocirc ograve Ograve oslash Oslash otilde Otilde ouml Ouml szlig thorn THORN uacute Uacute ucirc Ucirc
ugrave Ugrave uuml Uuml yacute Yacute yuml
abreve Abreve amacr Amacr aogon Aogon cacute Cacute ccaron Ccaron ccirc Ccirc cdot Cdot dcaron Dcaron dstrok Dstrok
ecaron Ecaron edot Edot emacr Emacr eogon Eogon gacute gbreve Gbreve Gcedil gcirc Gcirc gdot Gdot hcirc Hcirc hstrok Hstrok
Idot Imacr imacr ijlig IJlig inodot iogon Iogon itilde Itilde jcirc Jcirc kcedil Kcedil kgreen lacute Lacute lcaron Lcaron
lcedil Lcedil lmidot Lmidot lstrok Lstrok nacute Nacute eng ENG napos ncaron Ncaron ncedil Ncedil odblac Odblac Omacr omacr
oelig OElig racute Racute rcaron Rcaron rcedil Rcedil sacute Sacute scaron Scaron scedil Scedil scirc Scirc tcaron Tcaron
tcedil Tcedil tstrok Tstrok ubreve Ubreve udblac Udblac umacr Umacr uogon Uogon uring Uring utilde Utilde wcirc Wcirc
ycirc Ycirc Yuml zacute Zacute zcaron Zcaron zdot Zdot nbsp`

// entities are the characters of these names.
var entities = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, name := range strings.Fields(latin) {
		out[name] = html.UnescapeString("&" + name + ";")
	}
	return out
})
