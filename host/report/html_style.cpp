#include "host/report/html_style.hpp"

#include "host/report/columns.hpp"

namespace host::report {
namespace {

// A string of CSS with nothing left in it that could end it, or the element round it.
std::string quoted(std::string_view text) {
  constexpr std::string_view kPlain = " .,:-_";
  std::string out = "\"";
  while (!text.empty()) {
    const Character character = first_character(text);
    const char letter = text.front();
    const bool alphanumeric = (letter >= '0' && letter <= '9') || (letter >= 'A' && letter <= 'Z') ||
                              (letter >= 'a' && letter <= 'z');
    if (alphanumeric || kPlain.find(letter) != std::string_view::npos) {
      out += letter;
    } else if (character.valid && character.code >= 0x20) {
      constexpr std::string_view kDigits = "0123456789abcdef";
      out += '\\';
      for (int shift = 20; shift >= 0; shift -= 4) out += kDigits[(character.code >> shift) & 0xfU];
    }
    text.remove_prefix(character.octets);
  }
  return out + '"';
}

constexpr std::string_view kRules = R"(
*{box-sizing:border-box}
html{font:7.5pt/1.2 "DejaVu Sans Condensed","Liberation Sans",Arial,sans-serif;font-stretch:condensed;color:#000;background:#fff}
body{margin:0 auto;max-width:186mm}
h1{font-size:14pt;line-height:1.15;margin:0 0 1.2mm;border-bottom:.7mm solid #000;padding-bottom:1mm}
h2{font-size:9pt;margin:2.2mm 0 .8mm;border-bottom:.25mm solid #000;break-after:avoid}
p{margin:.5mm 0 1mm}
section.whole{break-inside:avoid}
.columns{columns:2;column-gap:5mm;margin-top:2.2mm}
.columns.three{columns:3}
.columns section{break-inside:avoid}
.columns h2{margin-top:0}
.drawings{display:flex;flex-wrap:wrap;gap:2mm;align-items:flex-start}
.drawings figure{flex:0 0 auto;max-width:100%}
.strip{flex:1 1 34mm;display:flex;flex-wrap:wrap;gap:1.2mm;align-content:flex-start;margin-top:1mm}
table{border-collapse:collapse;width:100%}
th{text-align:left;font-weight:bold;border-bottom:.2mm solid #000;padding:.3mm 2mm .3mm 0;vertical-align:bottom}
td{padding:.2mm 2mm .2mm 0;vertical-align:top;border-bottom:.1mm solid #aaa;overflow-wrap:break-word}
th:last-child,td:last-child{padding-right:0}
td:first-child{font-weight:bold;overflow-wrap:normal;white-space:nowrap}
tr{break-inside:avoid}
thead{display:table-header-group}
table.long{font-size:6.7pt;line-height:1.16}
table.long td{padding-top:.12mm;padding-bottom:.12mm}
table.long td:first-child{font-weight:normal;white-space:normal}
figure{margin:1mm 0;break-inside:avoid;text-align:center}
figure.strap{margin:0;border:.15mm solid #aaa}
figure.strap svg{zoom:.74}
figcaption{font-size:6.9pt;text-align:left;width:0;min-width:100%}
svg{max-width:100%;display:block;margin:0 auto}
.warning,.fault,.danger{border-left:1mm solid #000;padding-left:2mm;font-weight:bold}
.danger{border:.8mm solid #000;padding:1mm 2mm}
tr.warning,tr.fault,tr.danger{border:0}
.verdict{border-top:.5mm solid #000;margin-top:2mm;padding-top:1mm}
footer{border-top:.2mm solid #000;margin-top:3mm;font-size:7pt}
@media print{footer{display:none}body{max-width:none}}
@media screen{html{padding:6mm}}
)";

}  // namespace

std::string style_sheet(std::string_view foot) {
  std::string sheet =
      "\n@page{size:A4 portrait;margin:8mm 12mm 12mm 12mm;"
      "@bottom-left{font:6.6pt \"DejaVu Sans\",sans-serif;width:84%;vertical-align:top;"
      "padding-top:1.5mm;content:";
  sheet += quoted(foot);
  sheet +=
      "}@bottom-right{font:7pt \"DejaVu Sans\",sans-serif;vertical-align:top;padding-top:1.5mm;"
      "content:\"page \" counter(page) \" of \" counter(pages)}}";
  return sheet.append(kRules);
}

}  // namespace host::report
