#include "stillpoint/solve/ppp_arc_differences.h"

#include <gtest/gtest.h>

#include <initializer_list>

namespace stillpoint::solve {
namespace {

// Arcs of satellites 1, 2, … of these systems.
PppSession session_of(std::initializer_list<System> arcs) {
  PppSession session;
  for (const System system : arcs) {
    PppArc arc;
    arc.sat = {system, static_cast<std::uint8_t>(session.arcs.size() + 1)};
    session.arcs.push_back(arc);
  }
  return session;
}

void add_epoch(PppSession& session, std::initializer_list<std::uint32_t> arcs) {
  PppEpoch epoch;
  epoch.first = static_cast<std::uint32_t>(session.rows.size());
  epoch.count = static_cast<std::uint32_t>(arcs.size());
  for (const std::uint32_t a : arcs) {
    PppRow row;
    row.sat = session.arcs[a].sat;
    row.arc = a;
    session.rows.push_back(row);
  }
  session.epochs.push_back(epoch);
}

constexpr System kG = System::kGps, kE = System::kGalileo;

// kind: exact
TEST(PppArcDifferences, TheStrongestOfEachSystemIsTheReference) {
  PppSession session = session_of({kG, kG, kG, kE, kE});
  add_epoch(session, {0, 1, 2, 3, 4});
  const auto found =
      arc_differences(session, {true, true, true, true, true}, {1, 3, 2, 5, 4});
  ASSERT_EQ(found.size(), 3U);
  EXPECT_EQ(found[0].arc, 0U);
  EXPECT_EQ(found[0].reference, 1U);
  EXPECT_EQ(found[1].arc, 2U);
  EXPECT_EQ(found[1].reference, 1U);
  EXPECT_EQ(found[2].arc, 4U);
  EXPECT_EQ(found[2].reference, 3U);
}

// kind: exact
TEST(PppArcDifferences, ArcsHangTogetherByWhoIsSeenBetweenThem) {
  PppSession session = session_of({kG, kG, kG, kG});
  add_epoch(session, {0, 1});
  add_epoch(session, {1, 2});
  add_epoch(session, {3});  // with none of them
  const auto found =
      arc_differences(session, {true, true, true, true}, {9, 1, 1, 1});
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].arc, 1U);
  EXPECT_EQ(found[1].arc, 2U);
  EXPECT_EQ(found[1].reference, 0U);
}

// kind: exact
TEST(PppArcDifferences, OneThatDoesNotCountTiesNobody) {
  PppSession session = session_of({kG, kG, kG});
  add_epoch(session, {0, 1});
  add_epoch(session, {1, 2});
  EXPECT_TRUE(arc_differences(session, {true, false, true}, {1, 1, 1}).empty());
  session.rows[1].flags = kRowPhaseOut;  // arc 1 beside arc 0
  const auto found = arc_differences(session, {true, true, true}, {1, 1, 1});
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].arc, 2U);
  EXPECT_EQ(found[0].reference, 1U);
}

}  // namespace
}  // namespace stillpoint::solve
