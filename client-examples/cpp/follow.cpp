// Following a session while it is recorded, through dropped connections and restarted services.
#include <condition_variable>
#include <cstdarg>
#include <mutex>

#include "takewright.hpp"

namespace takewright {

namespace {

/** Audio that is kept for a service that is gone, in bytes. */
constexpr size_t kBacklogBytes = 64 << 20;

/** A service keeps an interrupted session for half an hour. */
constexpr std::chrono::minutes kGiveUp(30);
constexpr std::chrono::milliseconds kFirstPause(250);
constexpr std::chrono::milliseconds kMaxPause(4000);

using Clock = std::chrono::steady_clock;

/** The latest audio of the recorder. It never holds up the recorder: what does not fit any more is dropped. */
class Backlog {
 public:
  void add(const char* data, size_t count) {
    std::lock_guard<std::mutex> lock(mutex_);
    data_.append(data, count);
    if (data_.size() > kBacklogBytes + kBacklogBytes / 4) {  // not at every piece: the rest moves up
      start_ += data_.size() - kBacklogBytes;
      data_.erase(0, data_.size() - kBacklogBytes);
    }
    changed_.notify_all();
  }

  void end() {
    std::lock_guard<std::mutex> lock(mutex_);
    isEnded_ = true;
    changed_.notify_all();
  }

  void wake() { changed_.notify_all(); }

  /** Position of the oldest byte that is kept. */
  uint64_t start() {
    std::lock_guard<std::mutex> lock(mutex_);
    return start_;
  }

  enum class Found { kAudio, kEnd, kDropped };

  /** Audio from a position on, as soon as there is some; its end, also once the call is over. */
  Found next(uint64_t position, const std::function<bool()>& isOver, std::string* piece) {
    std::unique_lock<std::mutex> lock(mutex_);
    while (!isEnded_ && position >= start_ + data_.size() && !isOver()) {
      changed_.wait_for(lock, std::chrono::milliseconds(200));
    }
    if (position < start_) return Found::kDropped;
    if (isOver() || position >= start_ + data_.size()) return Found::kEnd;
    *piece = data_.substr(position - start_, kChunkBytes);
    return Found::kAudio;
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::string data_;
  uint64_t start_ = 0;
  bool isEnded_ = false;
};

/** Whether calling again may help. */
bool isDrop(grpc::StatusCode code, bool isStarted) {
  switch (code) {
    case grpc::StatusCode::UNAVAILABLE:
    case grpc::StatusCode::DEADLINE_EXCEEDED:
    case grpc::StatusCode::CANCELLED:
      return true;
    // The service has not noticed the drop yet, has no room yet, is writing its token, or has lost the session.
    case grpc::StatusCode::ABORTED:
    case grpc::StatusCode::RESOURCE_EXHAUSTED:
    case grpc::StatusCode::UNAUTHENTICATED:
    case grpc::StatusCode::NOT_FOUND:
      return !isStarted;
    default:
      return false;
  }
}

std::string seconds(double frames, int rate) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f s", frames / rate);
  return text;
}

}  // namespace

void follow(const Client& client, const v1::FollowSessionConfig& config, const std::function<long(char*, size_t)>& read,
            const FollowEvents& events) {
  auto backlog = std::make_shared<Backlog>();
  // It may still wait for the recorder when all is over; then the program's end ends it.
  std::thread([backlog, read] {
    std::vector<char> piece(64 * 1024);
    for (long n; (n = read(piece.data(), piece.size())) > 0;) backlog->add(piece.data(), n);
    backlog->end();
  }).detach();
  const int rate = config.format().sample_rate_hz();
  const uint64_t frame = frameBytes(config.format());
  std::string sessionId;
  std::optional<Clock::time_point> goneSince;
  auto pause = kFirstPause;
  bool skip = false;  // whether the audio begins with the oldest that is kept, and not where the session stands
  while (true) {
    v1::FollowSessionRequest settings;
    *settings.mutable_config() = config;
    if (!sessionId.empty()) {
      settings.mutable_config()->clear_sheet();
      settings.mutable_config()->set_session_id(sessionId);
    }
    const uint64_t first = skip ? (backlog->start() + frame - 1) / frame : 0;
    const bool skips = skip;
    skip = false;
    if (first > 0) settings.mutable_config()->set_first_frame(first);
    auto context = client.context();
    auto stream = v1::SessionService::NewStub(client.channel())->FollowSession(context.get());
    std::mutex mutex;
    std::condition_variable started;
    bool isStarted = false, isOver = false, isDropped = false;
    uint64_t next = 0;
    // Responses arrive while audio is sent; a Write waits if the service is slower.
    std::thread sending([&] {
      if (!stream->Write(settings)) return;
      std::unique_lock<std::mutex> lock(mutex);
      started.wait(lock, [&] { return isStarted || isOver; });
      uint64_t position = (skips ? first : next) * frame;  // what the service has already it ignores
      lock.unlock();
      auto over = [&] {
        std::lock_guard<std::mutex> guard(mutex);
        return isOver;
      };
      v1::FollowSessionRequest audio;
      while (true) {
        std::string piece;
        Backlog::Found found = backlog->next(position, over, &piece);
        if (found == Backlog::Found::kDropped) {
          lock.lock();
          isDropped = true;
          lock.unlock();
          context->TryCancel();
          return;
        }
        if (found == Backlog::Found::kEnd) break;
        position += piece.size();
        audio.set_audio(std::move(piece));
        if (!stream->Write(audio)) return;
      }
      stream->WritesDone();
    });
    v1::FollowSessionResponse response;
    while (stream->Read(&response)) {
      if (response.has_started()) {
        sessionId = response.started().session_id();
        const uint64_t frames = response.started().next_frame();
        if (goneSince) events.say("the service is back: continuing at " + seconds(frames, rate));
        if (skips && first > frames) {
          events.say(seconds(first - frames, rate) + " never reached the service, which treats them as silence");
        }
        goneSince.reset();
        pause = kFirstPause;
        std::lock_guard<std::mutex> guard(mutex);
        next = frames;
        isStarted = true;
        started.notify_all();
      }
      events.heard(response);
    }
    {
      std::lock_guard<std::mutex> guard(mutex);
      isOver = true;
    }
    started.notify_all();
    backlog->wake();
    sending.join();
    const grpc::Status status = stream->Finish();
    if (status.ok()) return;
    if (isDropped) {
      skip = true;
      continue;
    }
    if (sessionId.empty() || !isDrop(status.error_code(), isStarted)) client.require(status);
    if (status.error_code() == grpc::StatusCode::NOT_FOUND) {
      events.say("the service no longer knows the session: a new one begins");
      sessionId.clear();
      skip = true;
    }
    if (!goneSince) {
      goneSince = Clock::now();
      events.say("the service is gone: retrying");
    } else if (Clock::now() - *goneSince > kGiveUp) {
      throw Problem("no service has answered at " + client.options().server + " for half an hour");
    }
    std::this_thread::sleep_for(pause);
    pause = std::min(2 * pause, kMaxPause);
  }
}

}  // namespace takewright
