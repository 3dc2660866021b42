#include "host/expect/match.hpp"

namespace host::expect {
namespace {

using report::json::Value;

Value texts(const std::vector<std::string>& words) {
  Value::Array array;
  for (const std::string& word : words) array.emplace_back(word);
  return array;
}

Value refusal_json(const Refusal& refusal) {
  Value object;
  object.set("kind", to_text(refusal.kind));
  object.set("subject", refusal.subject);
  object.set("needed", refusal.needed);
  object.set("offered", refusal.offered);
  object.set("reason", refusal.reason);
  if (refusal.permille) object.set("margin_permille", *refusal.permille);
  return object;
}

Value headroom_json(const Headroom& room) {
  Value object;
  object.set("subject", room.subject);
  object.set("needed", room.needed);
  object.set("offered", room.offered);
  object.set("margin_permille", room.permille);
  return object;
}

Value match_json(const Match& one, std::int64_t rank) {
  Value object;
  object.set("rank", rank);
  object.set("board", one.board);
  object.set("title", one.title);
  object.set("suits", one.suits);
  Value::Array refusals;
  for (const Refusal& refusal : one.refusals) refusals.push_back(refusal_json(refusal));
  object.set("refusals", std::move(refusals));
  Value::Array margins;
  for (const Headroom& room : one.headroom) margins.push_back(headroom_json(room));
  object.set("margins", std::move(margins));
  if (one.suits && !one.headroom.empty()) object.set("narrowest_margin_permille", one.narrowest_permille);
  object.set("remarks", texts(one.remarks));
  return object;
}

}  // namespace

Value to_json(const Ranking& ranking) {
  Value document;
  document.set("schema", "strapline/match/1");
  Value panel;
  panel.set("id", ranking.panel);
  panel.set("title", ranking.panel_title);
  document.set("panel", std::move(panel));
  document.set("inputs", texts(ranking.wants.inputs));
  document.set("needs", texts(ranking.wants.features));
  const bool any = !ranking.matches.empty() && ranking.matches.front().suits;
  document.set("verdict", any ? "pass" : "fail");
  Value::Array boards;
  std::int64_t rank = 0;
  for (const Match& one : ranking.matches) boards.push_back(match_json(one, ++rank));
  document.set("boards", std::move(boards));
  return document;
}

}  // namespace host::expect
