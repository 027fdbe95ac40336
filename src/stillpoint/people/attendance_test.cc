#include "stillpoint/people/attendance.h"

#include <gtest/gtest.h>

#include <vector>

namespace stillpoint::people {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::nanoseconds;
using Seat = Attendance::Seat;

// kind: cross   source: the header's definition, by hand
// tolerance: none, whole bytes
TEST(HourBytes, LetTheHourBeforeFadeEvenly) {
  HourBytes bytes;
  bytes.add(1000, hours{5} + minutes{1});
  bytes.add(200, hours{5} + minutes{59});
  EXPECT_EQ(bytes.used(hours{5} + minutes{59}), 1200U);
  EXPECT_EQ(bytes.used(hours{6}), 1200U);
  EXPECT_EQ(bytes.used(hours{6} + minutes{15}), 900U);
  bytes.add(10, hours{6} + minutes{30});
  EXPECT_EQ(bytes.used(hours{6} + minutes{30}), 610U);
  EXPECT_EQ(bytes.used(hours{7} + minutes{30}), 5U);
  EXPECT_EQ(bytes.used(hours{8}), 0U);
}

TEST(HourBytes, AreGoneAfterTwoHoursOfSilence) {
  HourBytes bytes;
  bytes.add(1000, hours{5});
  bytes.add(1, hours{7});
  EXPECT_EQ(bytes.used(hours{7}), 1U);
}

// Threads hand in their times a little out of order.
TEST(HourBytes, ATimeOfTheHourBeforeCountsInThisOne) {
  HourBytes bytes;
  bytes.add(10, hours{6});
  bytes.add(5, hours{6} - nanoseconds{1});
  EXPECT_EQ(bytes.used(hours{6}), 15U);
}

class AttendanceTest : public ::testing::Test {
 protected:
  Attendance here_;
  nanoseconds now_ = hours{10};

  static Attendance::Guest guest(std::string_view user,
                                 std::string_view mount = "LHOL") {
    Attendance::Guest guest;
    guest.user = user;
    guest.mount = mount;
    return guest;
  }
  Seat seat(const Attendance::Guest& guest) {
    return here_.admit(guest, now_).seat;
  }
};

TEST_F(AttendanceTest, AMountpointHoldsSoManyWhoeverTheyAre) {
  auto member = guest("ditch-1");
  auto nobody = guest("");
  member.most_at_mount = nobody.most_at_mount = 2;
  EXPECT_EQ(seat(member), Seat::kFree);
  EXPECT_EQ(seat(nobody), Seat::kFree);
  EXPECT_EQ(seat(member), Seat::kMountFull);
  EXPECT_EQ(seat(nobody), Seat::kMountFull);
  auto elsewhere = guest("ditch-1", "LHOL2");
  elsewhere.most_at_mount = 2;
  EXPECT_EQ(seat(elsewhere), Seat::kFree);
}

TEST_F(AttendanceTest, AUserHasSoManyConnectionsOnAllMountpoints) {
  auto one = guest("ditch-1"), two = guest("ditch-1", "LHOL2");
  one.most_connections = two.most_connections = 2;
  EXPECT_EQ(seat(one), Seat::kFree);
  EXPECT_EQ(seat(two), Seat::kFree);
  EXPECT_EQ(seat(one), Seat::kUserFull);
  auto other = guest("tractor-2");
  other.most_connections = 2;
  EXPECT_EQ(seat(other), Seat::kFree);
}

// Between the answer and the session nobody else may take the place.
TEST_F(AttendanceTest, APlaceIsKeptFromTheAnswerUntilTheSessionHasGone) {
  auto member = guest("ditch-1");
  member.most_connections = 1;
  member.most_at_mount = 1;
  EXPECT_EQ(seat(member), Seat::kFree);
  EXPECT_EQ(seat(member), Seat::kMountFull);
  here_.came(7, "ditch-1", "LHOL");
  EXPECT_EQ(seat(member), Seat::kMountFull);
  member.most_at_mount.reset();
  EXPECT_EQ(seat(member), Seat::kUserFull);
  here_.went(7, 0, now_);
  member.most_at_mount = 1;
  EXPECT_EQ(seat(member), Seat::kFree);
  EXPECT_EQ(seat(member), Seat::kMountFull);
}

TEST_F(AttendanceTest, ALimitOfNoneLetsNobodyIn) {
  auto member = guest("ditch-1");
  member.most_connections = 0;
  EXPECT_EQ(seat(member), Seat::kUserFull);
  member.most_connections.reset();
  member.most_bytes_an_hour = 0;
  EXPECT_EQ(seat(member), Seat::kBytesUsedUp);
}

TEST_F(AttendanceTest, BytesCountOnceAndAreTakenFromWhatRemains) {
  auto member = guest("ditch-1");
  EXPECT_EQ(here_.admit(member, now_).remaining_bytes, 0U);
  member.most_bytes_an_hour = 1000;
  EXPECT_EQ(here_.admit(member, now_).remaining_bytes, 1000U);
  here_.came(1, "ditch-1", "LHOL");
  here_.came(2, "ditch-1", "LHOL");
  here_.progress(1, 300, now_);
  here_.progress(1, 300, now_);
  here_.progress(1, 200, now_);  // late, of an earlier moment
  here_.progress(2, 100, now_);
  EXPECT_EQ(here_.admit(member, now_).remaining_bytes, 600U);
  here_.went(1, 450, now_);
  here_.went(1, 900, now_);  // gone already
  here_.progress(1, 900, now_);
  EXPECT_EQ(here_.admit(member, now_).remaining_bytes, 450U);
  here_.went(2, 550, now_);
  EXPECT_EQ(seat(member), Seat::kBytesUsedUp);
  // An hour and three quarters on, a quarter of the 1000 still counts.
  now_ += hours{1} + minutes{45};
  EXPECT_EQ(here_.admit(member, now_).remaining_bytes, 750U);
}

TEST_F(AttendanceTest, AGuestOfAnOpenMountpointCountsForNobody) {
  ASSERT_EQ(seat(guest("")), Seat::kFree);
  here_.came(1, "ditch-1", "LHOL");  // the name it gave was never checked
  here_.progress(1, 5000, now_);
  auto member = guest("ditch-1");
  member.most_connections = 1;
  member.most_bytes_an_hour = 1000;
  const Attendance::Place place = here_.admit(member, now_);
  EXPECT_EQ(place.seat, Seat::kFree);
  EXPECT_EQ(place.remaining_bytes, 1000U);
  here_.went(1, 5000, now_);
  EXPECT_EQ(here_.accounts(), 1U);
  EXPECT_EQ(seat(member), Seat::kUserFull);
}

TEST_F(AttendanceTest, ASessionThatNobodyLetInIsCountedAtItsMountpoint) {
  auto nobody = guest("");
  nobody.most_at_mount = 1;
  here_.came(1, "ditch-1", "LHOL");
  EXPECT_EQ(seat(nobody), Seat::kMountFull);
  here_.went(1, 10, now_);
  here_.went(2, 10, now_);
  EXPECT_EQ(seat(nobody), Seat::kFree);
  EXPECT_EQ(here_.accounts(), 0U);
}

TEST_F(AttendanceTest, APlaceIsTakenOnce) {
  auto member = guest("ditch-1");
  member.most_connections = 1;
  ASSERT_EQ(seat(member), Seat::kFree);
  here_.came(1, "ditch-1", "LHOL");
  here_.came(2, "ditch-1", "LHOL");  // nobody let it in
  here_.went(2, 0, now_);
  EXPECT_EQ(seat(member), Seat::kUserFull);
}

TEST_F(AttendanceTest, ForgetsAccountsOfWhichNothingIsLeft) {
  for (const char* user : {"ditch-1", "tractor-2"}) {
    ASSERT_EQ(seat(guest(user)), Seat::kFree);
  }
  here_.came(1, "ditch-1", "LHOL");
  here_.came(2, "tractor-2", "LHOL");
  here_.went(1, 100, now_);
  now_ += hours{1};
  EXPECT_EQ(seat(guest("")), Seat::kFree);
  EXPECT_EQ(here_.accounts(), 2U);  // 100 bytes still count
  now_ += hours{1};
  EXPECT_EQ(seat(guest("")), Seat::kFree);
  EXPECT_EQ(here_.accounts(), 1U);  // the tractor is connected
}

TEST_F(AttendanceTest, ASessionMayHaveWhatIsLeftOfTheHour) {
  auto member = guest("ditch-1");
  member.most_bytes_an_hour = 1000;
  ASSERT_EQ(seat(member), Seat::kFree);
  ASSERT_EQ(seat(member), Seat::kFree);
  here_.came(1, "ditch-1", "LHOL");
  here_.came(2, "ditch-1", "LHOL");
  EXPECT_EQ(here_.progress(1, 300, now_), 1000U);
  EXPECT_EQ(here_.progress(2, 500, now_), 700U);  // 200 are left
  EXPECT_EQ(here_.progress(1, 500, now_), 500U);
  EXPECT_EQ(here_.progress(1, 600, now_), 600U);
  // Two hours on the sessions are still there, with a new hour's allowance.
  now_ += hours{2};
  EXPECT_EQ(here_.progress(1, 600, now_), 1600U);
  here_.renew("ditch-1", true, std::nullopt);
  EXPECT_EQ(here_.progress(1, 600, now_), std::nullopt);
  here_.renew("ditch-1", false, std::nullopt);
  EXPECT_EQ(here_.progress(1, 600, now_), 1U);
  EXPECT_EQ(here_.present(), std::vector<std::string>{"ditch-1"});
}

}  // namespace
}  // namespace stillpoint::people
