// From a connection's first byte to the answer.
#include <utility>

#include "stillpoint/ntrip/ascii.h"
#include "stillpoint/ntrip/server/fan_worker.h"

namespace stillpoint::ntrip {

AnswerStyle FanWorker::style() const {
  return {options_.program_version, shared_.clock.unix_s()};
}

bool FanWorker::begin(Rover& rover) {
  const IoResult agreed = rover.wire.handshake();
  if (agreed.what == Io::kBlocked) {
    set_interest(rover, rover.wire.wants_room());
    return true;
  }
  if (agreed.what != Io::kDone) {
    remove(rover, Departure::kError);
    return false;
  }
  set_interest(rover, false);
  rover.state = State::kRequest;
  return read_from(rover);  // the request may have come with it
}

bool FanWorker::on_request(Rover& rover) {
  RoverRequest& request = rover.opening->reader.request();
  rover.framed = request.version == Version::k2 && request.http11;
  if (!request.gga.empty()) {
    const std::string line = request.gga + '\n';
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(line.data());
    if (!listen_to(rover, {bytes, line.size()})) {
      return false;
    }
  }
  if (rover.over_limit) {
    return refuse(rover, 503);
  }
  if (request.mount.empty()) {
    return give_table(rover);
  }
  if (!shared_.ring_of(request.mount)) {
    return request.version == Version::k1 ? give_table(rover)
                                          : refuse(rover, 404);
  }
  return ask(rover);
}

bool FanWorker::ask(Rover& rover) {
  rover.holds_place = true;
  if (shared_.places.fetch_add(1) >= options_.most_rovers ||
      asking_.size() >= options_.most_connections) {
    return refuse(rover, 503);
  }
  RoverRequest& request = rover.opening->reader.request();
  Question question{&rover, {}};
  question.facts = {.session = rover.id,
                    .mount = request.mount,
                    .user = request.user,
                    .address = rover.peer.text(),
                    .user_agent = for_people(request.user_agent),
                    .version = request.version,
                    .tls = rover.wire.tls()};
  LedgerQuestion asked{request.mount,
                       std::move(request.user),
                       request.password,
                       question.facts.address};
  wipe(request.password);
  rover.state = State::kAsking;
  rover.deadline = now_ + options_.verdict_deadline;
  asking_.emplace(rover.id, std::move(question));
  // Verdicts come by mail, even those given at once: no call in a call.
  shared_.ledger.ask(
      asked,
      [mailbox = std::weak_ptr<Mailbox>(shared_.mailboxes[number_]),
       id = rover.id](const Verdict& verdict) {
        if (const auto there = mailbox.lock()) {
          there->put(VerdictMail{id, verdict});
        }
      });
  wipe(asked.password);
  return true;
}

void FanWorker::on_verdict(const VerdictMail& mail) {
  const auto found = asking_.find(mail.session);
  if (found == asking_.end()) {
    return;  // answered twice
  }
  const Question question = std::move(found->second);
  asking_.erase(found);
  const Admission admission = mail.verdict.admission;
  if (question.rover == nullptr) {
    if (admission == Admission::kAllowed) {
      ++tally_.sessions;
      ++tally_.departures[static_cast<std::size_t>(Departure::kClosed)];
      shared_.ledger.on_connect(question.facts);
      shared_.ledger.on_disconnect(mail.session, Departure::kClosed, {});
    }
    return;
  }
  Rover& rover = *question.rover;
  rover.state = State::kAnswer;  // no longer asking
  switch (admission) {
    case Admission::kAllowed:
      on_allowed(rover, question, mail.verdict);
      break;
    case Admission::kWrongLogin:
      refuse(rover, 401);
      break;
    case Admission::kForbidden:
      refuse(rover, 403);
      break;
    case Admission::kTooMany:
      refuse(rover, 503);
      break;
  }
}

void FanWorker::on_allowed(Rover& rover,
                           const Question& question,
                           const Verdict& verdict) {
  std::unique_ptr<Lane>& lane = lanes_[question.facts.mount];
  if (!lane) {
    lane = std::make_unique<Lane>();
    lane->ring = shared_.ring_of(question.facts.mount);
    lane->end = lane->ring->end();
    lane->first = lane->end.sequence;
  }
  rover.lane = lane.get();
  rover.most_bytes = verdict.most_bytes;
  if (verdict.most_time.count() > 0) {
    rover.until = now_ + verdict.most_time;
  }
  rover.progress_due = now_ + options_.progress_every;
  rover.told = true;
  ++tally_.rovers;
  ++tally_.sessions;
  shared_.ledger.on_connect(question.facts);
  answer(rover,
         stream_head(question.facts.version, rover.framed, style()),
         nullptr,
         true);
}

bool FanWorker::give_table(Rover& rover) {
  SharedText table = shared_.current_table();
  std::string head = table_head(
      rover.opening->reader.request().version, table->size(), style());
  return answer(rover, std::move(head), std::move(table), false);
}

bool FanWorker::refuse(Rover& rover, int status) {
  ++tally_.refused;
  if (rover.state == State::kAsking) {
    asking_[rover.id].rover = nullptr;
  }
  if (std::exchange(rover.holds_place, false)) {
    shared_.places.fetch_sub(1);
  }
  RoverRequest& request = rover.opening->reader.request();
  return answer(rover,
                refusal_text(status, request.version, request.mount, style()),
                nullptr,
                false);
}

bool FanWorker::answer(Rover& rover,
                       std::string head,
                       SharedText body,
                       bool stream) {
  Opening& opening = *rover.opening;
  opening.head = std::move(head);
  opening.body = std::move(body);
  opening.then_stream = stream;
  rover.state = State::kAnswer;
  rover.deadline = now_ + options_.write_deadline;
  return write_answer(rover);
}

bool FanWorker::write_answer(Rover& rover) {
  Opening& opening = *rover.opening;
  while (true) {
    std::string_view left = opening.head;
    if (opening.sent >= left.size()) {
      const std::size_t of_body = opening.sent - left.size();
      left = opening.body ? std::string_view(*opening.body).substr(of_body)
                          : std::string_view();
    } else {
      left.remove_prefix(opening.sent);
    }
    if (left.empty()) {
      break;
    }
    const IoResult sent = rover.wire.send(left);
    if (sent.what == Io::kBlocked) {
      block(rover);
      return true;
    }
    if (sent.what != Io::kDone) {
      remove(rover,
             sent.what == Io::kClosed ? Departure::kClosed : Departure::kError);
      return false;
    }
    opening.sent += sent.bytes;
    rover.wire_bytes += sent.bytes;
    tally_.wire_bytes += sent.bytes;
  }
  unblock(rover);
  const bool stream = opening.then_stream;
  rover.opening.reset();
  if (stream) {
    join(rover);
  } else {
    // Closed at once, bytes still on their way to us would make the system
    // throw away the answer.
    rover.wire.finish();
    rover.state = State::kLinger;
    rover.deadline = now_ + options_.linger;
  }
  return true;
}

}  // namespace stillpoint::ntrip
