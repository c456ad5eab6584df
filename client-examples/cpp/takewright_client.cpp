// A small client of the Takewright service, to copy from.
//
//   takewright-client segment FILE       the regions of a take, one line each
//   takewright-client analyse FILE...    note, cents and loudness of samples, one line each
//   takewright-client follow SHEET       follows raw audio on standard input, whose format is --pcm:
//                                        prints one line per note, and the missing cells
//
// It starts in milliseconds, so a script in an editor can run it for every selection. The service reads
// the files; fields are separated by tabs.
#include <grpcpp/grpcpp.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <memory>
#include <sstream>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include <unistd.h>

#include "takewright/v1/operations.grpc.pb.h"
#include "takewright/v1/session.grpc.pb.h"

namespace v1 = takewright::v1;

namespace {

/** A problem to report to the user in one line. */
struct Problem : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct Options {
  std::string server = "127.0.0.1:7171";
  std::string tokenFile;
  std::string pcm;   // of follow: format of standard input
  std::string take;  // of follow: the take of the sheet
  std::string verb;
  std::vector<std::string> files;
};

Options parse(int count, char** words) {
  Options options;
  for (int i = 1; i < count; i++) {
    std::string word = words[i];
    std::string* value = word == "--server"       ? &options.server
                         : word == "--token-file" ? &options.tokenFile
                         : word == "--pcm"        ? &options.pcm
                         : word == "--take"       ? &options.take
                                                  : nullptr;
    if (value) {
      if (++i == count) throw Problem(word + " needs a value");
      *value = words[i];
    } else if (options.verb.empty()) {
      options.verb = word;
    } else {
      options.files.push_back(word);
    }
  }
  bool isOne = options.verb == "segment" || options.verb == "follow";
  bool isKnown = options.verb == "analyse" || (isOne && options.files.size() == 1);
  if (!isKnown || options.files.empty()) {
    throw Problem("usage: takewright-client segment FILE | analyse FILE... | follow SHEET --pcm int24,48000,2 [--take NAME] [--server HOST:PORT] [--token-file FILE]");
  }
  if (options.tokenFile.empty()) {
    const char* home = std::getenv("HOME");
    options.tokenFile = std::string(home ? home : ".") + "/.takewright/token-" +
                        options.server.substr(options.server.rfind(':') + 1);
  }
  return options;
}

std::string readToken(const Options& options) {
  std::ifstream in(options.tokenFile);
  std::string token;
  if (!(in >> token)) {
    throw Problem(options.tokenFile +
                  " does not exist; start the service with ./takewright serve, or give --token-file");
  }
  return token;
}

/** The service has another working directory, so it needs the absolute path. */
std::string absolute(const std::string& file) {
  std::unique_ptr<char, decltype(&std::free)> real(realpath(file.c_str(), nullptr), &std::free);
  if (!real) throw Problem(file + " does not exist");
  return real.get();
}

void require(const grpc::Status& status, const Options& options) {
  static const char* const codes[] = {
      "OK", "CANCELLED", "UNKNOWN", "INVALID_ARGUMENT", "DEADLINE_EXCEEDED", "NOT_FOUND",
      "ALREADY_EXISTS", "PERMISSION_DENIED", "RESOURCE_EXHAUSTED", "FAILED_PRECONDITION", "ABORTED",
      "OUT_OF_RANGE", "UNIMPLEMENTED", "INTERNAL", "UNAVAILABLE", "DATA_LOSS", "UNAUTHENTICATED"};
  if (status.ok()) return;
  if (status.error_code() == grpc::StatusCode::UNAVAILABLE) {
    throw Problem("no service answers at " + options.server + "; start it with ./takewright serve");
  }
  throw Problem(std::string(codes[status.error_code()]) + ": " + status.error_message());
}

/** Sends the settings; nothing follows, since the service reads the file. */
template <class Stream, class Request>
void ask(Stream& stream, const std::string& file) {
  Request request;
  request.mutable_config()->mutable_input()->set_file(absolute(file));
  stream.Write(request);
  stream.WritesDone();
}

using Channel = std::shared_ptr<grpc::Channel>;

void segment(const Channel& channel, const Options& options, const std::string& token) {
  grpc::ClientContext context;
  context.AddMetadata("authorization", "Bearer " + token);
  auto stream = v1::OperationsService::NewStub(channel)->Segment(&context);
  ask<decltype(*stream), v1::SegmentRequest>(*stream, options.files[0]);
  std::vector<v1::Region> regions;
  double rate = 0;
  v1::SegmentResponse answer;
  while (stream->Read(&answer)) {
    if (answer.has_region()) regions.push_back(answer.region());
    if (answer.has_summary()) rate = answer.summary().sample_rate_hz();
  }
  require(stream->Finish(), options);
  std::printf("start_s\tonset_s\tend_s\tnote\n");
  int rejected = 0;
  for (const v1::Region& region : regions) {
    if (region.status() == v1::REGION_STATUS_REJECTED) {
      rejected++;
      continue;
    }
    std::printf("%.6f\t%.6f\t%.6f\t%s\n", region.start_frame() / rate, region.onset_frame() / rate,
                region.end_frame() / rate, region.pitch().note().c_str());
  }
  if (rejected > 0) std::fprintf(stderr, "%d rejected\n", rejected);
}

void analyse(const Channel& channel, const Options& options, const std::string& token) {
  auto service = v1::OperationsService::NewStub(channel);
  std::printf("file\tnote\tcents\tlevel_lufs\n");
  for (const std::string& file : options.files) {
    grpc::ClientContext context;
    context.AddMetadata("authorization", "Bearer " + token);
    auto stream = service->Analyse(&context);
    ask<decltype(*stream), v1::AnalyseRequest>(*stream, file);
    v1::AnalyseResponse answer;
    v1::SampleFacts facts;
    while (stream->Read(&answer)) {
      if (answer.has_facts()) facts = answer.facts();
    }
    require(stream->Finish(), options);
    std::printf("%s\t%s\t%s\t%.2f\n", file.c_str(), facts.pitch().note().c_str(),
                facts.has_pitch() ? std::to_string(facts.pitch().cents()).c_str() : "",
                facts.level_lufs());
  }
}

v1::PcmFormat format(const std::string& pcm) {
  char word[9];
  int rate, channels, end = 0;
  v1::PcmFormat format;
  v1::PcmEncoding encoding;
  if (std::sscanf(pcm.c_str(), "%8[a-z0-9],%d,%d%n", word, &rate, &channels, &end) != 3 || pcm[end]) {
    throw Problem("follow needs --pcm, for instance --pcm int24,48000,2");
  }
  std::string name = word;
  for (char& letter : name) letter = std::toupper(letter);
  if (!v1::PcmEncoding_Parse("PCM_ENCODING_" + name, &encoding)) {
    throw Problem("--pcm takes int16, int24, int32 or float32");
  }
  format.set_encoding(encoding);
  format.set_sample_rate_hz(rate);
  format.set_channels(channels);
  return format;
}

std::string name(const v1::Cell& cell) {
  return (cell.has_midi() ? std::to_string(cell.midi()) + " " : "") +
         (cell.dynamic().empty() ? "" : cell.dynamic() + " ") + "rr" + std::to_string(cell.rr());
}

/** Prints one line per note during the session; a later line with its number replaces it. */
void print(const v1::FollowSessionResponse& answer, double rate) {
  if (answer.has_note()) {
    const v1::NoteHeard& note = answer.note();
    std::string status = v1::NoteStatus_Name(note.status()).substr(std::string("NOTE_STATUS_").size());
    for (char& letter : status) letter = std::tolower(letter);
    std::string flags;
    for (int flag : note.flags()) {
      std::string word = v1::Flag_Name(static_cast<v1::Flag>(flag)).substr(std::string("FLAG_").size());
      for (char& letter : word) letter = std::tolower(letter);
      flags += (flags.empty() ? "" : " ") + word;
    }
    std::printf("note\t%d\t%.6f\t%.6f\t%s\t", note.number(), note.onset_frame() / rate,
                note.end_frame() / rate, note.pitch().note().c_str());
    if (note.has_pitch()) std::printf("%.1f", note.pitch().cents());
    std::printf("\t%s\t%s\t%s\n", status.c_str(), note.has_cell() ? name(note.cell()).c_str() : "", flags.c_str());
  } else if (answer.has_missing()) {
    std::string cells;
    for (const v1::Cell& cell : answer.missing().cells()) cells += (cells.empty() ? "" : ", ") + name(cell);
    std::printf("missing\t%d\t%s\n", answer.missing().cells_size(), cells.c_str());
  }
  std::fflush(stdout);  // the reader waits for it
}

void follow(const Channel& channel, const Options& options, const std::string& token) {
  v1::FollowSessionRequest settings;
  *settings.mutable_config()->mutable_format() = format(options.pcm);
  std::ifstream sheet(options.files[0]);
  std::ostringstream text;
  if (!(text << sheet.rdbuf())) throw Problem(options.files[0] + " cannot be read");
  settings.mutable_config()->set_sheet_text(text.str());
  settings.mutable_config()->set_take(options.take);
  grpc::ClientContext context;
  context.AddMetadata("authorization", "Bearer " + token);
  auto stream = v1::SessionService::NewStub(channel)->FollowSession(&context);
  // Responses arrive while audio is sent; a Write waits if the service is slower.
  std::thread sending([&] {
    bool open = stream->Write(settings);
    std::vector<char> piece(256 * 1024);
    v1::FollowSessionRequest audio;
    for (ssize_t n; open && (n = read(STDIN_FILENO, piece.data(), piece.size())) > 0;) {
      audio.set_audio(piece.data(), n);
      open = stream->Write(audio);
    }
    stream->WritesDone();
  });
  v1::FollowSessionResponse answer;
  while (stream->Read(&answer)) print(answer, settings.config().format().sample_rate_hz());
  grpc::Status status = stream->Finish();
  try {
    require(status, options);
  } catch (const Problem& problem) {
    std::cerr << "takewright: " << problem.what() << std::endl;
    std::_Exit(2);  // the other thread may still wait for input that is no longer needed
  }
  sending.join();
}

}  // namespace

int main(int count, char** words) {
  try {
    Options options = parse(count, words);
    std::string token = readToken(options);
    auto channel = grpc::CreateChannel(options.server, grpc::InsecureChannelCredentials());
    if (options.verb == "segment") {
      segment(channel, options, token);
    } else if (options.verb == "analyse") {
      analyse(channel, options, token);
    } else {
      follow(channel, options, token);
    }
    return 0;
  } catch (const Problem& problem) {
    std::cerr << "takewright: " << problem.what() << "\n";
    return 2;
  }
}
