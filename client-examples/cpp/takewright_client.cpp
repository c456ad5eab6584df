// The command line of the client: each operation once, with results as lines for a script. It starts in milliseconds, so
// a script in an editor can run it for every selection. Fields are separated by tabs.
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>

#include "takewright.hpp"

namespace v1 = takewright::v1;
using takewright::Client;
using takewright::Problem;

namespace {

constexpr const char* kUsage =
    "usage: takewright-client info | segment FILE | analyse FILE... | denoise FILE OUT [--amount-db DB]"
    " | retune FILE OUT [--cents CENTS] | layer FILE OUT [--wet-db DB]"
    " | name NAME | name [--library L] [--articulation A] [--layer L] [--midi N] [--dynamic D] [--rr N]"
    " | build SHEET OUT | watch ID | resume ID"
    " | follow SHEET --pcm int24,48000,2 [--take NAME];"
    " [--server HOST:PORT] [--token-file FILE] [--tls-ca FILE] [--timeout SECONDS] [--stream]";

struct Words {
  std::map<std::string, std::string> options;
  std::vector<std::string> rest;

  bool has(const std::string& key) const { return options.count(key) > 0; }

  std::string text(const std::string& key, const std::string& otherwise = "") const {
    return has(key) ? options.at(key) : otherwise;
  }

  double number(const std::string& key, double otherwise = 0) const {
    if (!has(key)) return otherwise;
    char* end = nullptr;
    double value = std::strtod(options.at(key).c_str(), &end);
    if (end == options.at(key).c_str() || *end) throw Problem(key + " " + options.at(key) + " is not a number");
    return value;
  }
};

const std::vector<std::string> kFacts = {"library", "articulation", "layer", "midi", "dynamic", "rr"};

Words parse(int count, char** words) {
  static const std::vector<std::string> known = {
      "--server", "--token-file", "--tls-ca", "--timeout", "--pcm", "--take", "--amount-db", "--cents", "--wet-db",
      "--library", "--articulation", "--layer", "--midi", "--dynamic", "--rr"};
  Words parsed;
  for (int i = 1; i < count; i++) {
    std::string word = words[i];
    if (word == "--stream") {
      parsed.options[word] = "";
    } else if (word.rfind("--", 0) == 0) {
      bool isKnown = false;
      for (const std::string& option : known) isKnown = isKnown || option == word;
      if (!isKnown) throw Problem(word + " is not known; " + kUsage);
      if (++i == count) throw Problem(word + " needs a value");
      parsed.options[word] = words[i];
    } else {
      parsed.rest.push_back(word);
    }
  }
  return parsed;
}

/** What a call takes: a path for the service, or a WAV file that this program sends. */
takewright::Source source(const std::string& file, const Words& words) {
  if (words.has("--stream")) return takewright::WavFile(file);
  return file;
}

std::string fixed(double value, int places) {
  char text[64];
  std::snprintf(text, sizeof text, "%.*f", places, value);
  return text;
}

template <class Strings>
std::string join(const Strings& strings, const char* between) {
  std::string joined;
  bool isFirst = true;
  for (const auto& string : strings) {
    joined += (isFirst ? "" : between) + string;
    isFirst = false;
  }
  return joined;
}

/** The name of an enum's value as a word: without its prefix, in lower case. */
std::string word(const std::string& name, const char* prefix) {
  std::string word = name.substr(std::string(prefix).size());
  for (char& letter : word) letter = std::tolower(letter);
  return word;
}

template <class Flags>
std::string flagWords(const Flags& flags) {
  std::vector<std::string> words;
  for (int flag : flags) words.push_back(word(v1::Flag_Name(static_cast<v1::Flag>(flag)), "FLAG_"));
  return join(words, " ");
}

/** Prints fields, separated by tabs, at once. Ends quietly where whoever read the lines has gone. */
void line(const std::vector<std::string>& fields) {
  std::printf("%s\n", join(fields, "\t").c_str());
  if (std::fflush(stdout) != 0) std::_Exit(128 + SIGPIPE);
}

void say(const std::string& message) { std::cerr << "takewright: " << message << std::endl; }

/** Prints facts about the service, named as in the contract. */
int info(const Client& client, const Words&) {
  const v1::GetServerInfoResponse facts = client.info();
  line({"fact", "value"});
  line({"version", facts.version()});
  for (const std::string& folder : facts.granted_folders()) line({"granted_folders", folder});
  const google::protobuf::Reflection* reflection = facts.limits().GetReflection();
  std::vector<const google::protobuf::FieldDescriptor*> limits;
  reflection->ListFields(facts.limits(), &limits);
  for (const auto* limit : limits) line({limit->name(), std::to_string(reflection->GetInt32(facts.limits(), limit))});
  for (const std::string& extension : facts.input_formats()) line({"input_formats", extension});
  for (const std::string& extension : facts.output_formats()) line({"output_formats", extension});
  if (facts.http_port() != 0) line({"http_port", std::to_string(facts.http_port())});
  line({"cores", std::to_string(facts.cores())});
  return 0;
}

int segment(const Client& client, const Words& words) {
  int rate = 0;
  std::vector<v1::Region> regions = client.segment(source(words.rest[1], words), {}, &rate);
  line({"start_s", "onset_s", "end_s", "note"});
  int rejected = 0;
  for (const v1::Region& region : regions) {
    if (region.status() != v1::REGION_STATUS_KEPT) {
      rejected++;
      continue;
    }
    auto seconds = [&](int64_t frame) { return fixed(static_cast<double>(frame) / rate, 6); };
    line({seconds(region.start_frame()), seconds(region.onset_frame()), seconds(region.end_frame()), region.pitch().note()});
  }
  if (rejected > 0) std::cerr << rejected << " more sounds were no notes of the instrument\n";
  return 0;
}

int analyse(const Client& client, const Words& words) {
  line({"file", "note", "cents", "level_lufs"});
  size_t failed = 0;
  for (size_t i = 1; i < words.rest.size(); i++) {
    const std::string& file = words.rest[i];
    try {
      v1::SampleFacts facts = client.analyse(source(file, words), {});
      line({file, facts.pitch().note(), facts.has_pitch() ? fixed(facts.pitch().cents(), 1) : "",
            facts.has_level_lufs() ? fixed(facts.level_lufs(), 1) : ""});
    } catch (const Problem& problem) {
      auto* refused = dynamic_cast<const takewright::Refused*>(&problem);
      // No other file will fare better.
      if (refused && (refused->code == grpc::StatusCode::UNAVAILABLE || refused->code == grpc::StatusCode::UNAUTHENTICATED)) throw;
      failed++;
      const std::string message = problem.what();
      const bool names = message.find(file.substr(file.rfind('/') + 1)) != std::string::npos;
      say(names ? message : file + ": " + message);
    }
  }
  return failed == 0 ? 0 : failed < words.rest.size() - 1 ? 1 : 2;
}

/** Runs an operation that makes sound: written by the service, or sent back and written here. Its report. */
template <class Operation>
auto change(const Words& words, Operation operation) {
  takewright::Source in = source(words.rest[1], words);
  if (!words.has("--stream")) return operation(in, words.rest[2], takewright::Sink());
  takewright::WavWriter writer(words.rest[2]);
  takewright::Sink sink{[&](const v1::PcmFormat& format) { writer.begin(format); },
                        [&](const std::string& piece) { writer.write(piece); }};
  auto report = operation(in, "", sink);
  writer.finish();
  return report;
}

int denoise(const Client& client, const Words& words) {
  v1::DenoiseConfig config;
  if (words.has("--amount-db")) config.set_amount_db(words.number("--amount-db"));
  v1::DenoiseReport report =
      change(words, [&](const auto& in, const auto& out, const auto& sink) { return client.denoise(in, out, sink, config); });
  line({"floor_before_dbfs", "floor_after_dbfs", "flags"});
  line({report.has_floor_before_dbfs() ? fixed(report.floor_before_dbfs(), 1) : "",
        report.has_floor_after_dbfs() ? fixed(report.floor_after_dbfs(), 1) : "", flagWords(report.flags())});
  return 0;
}

int retune(const Client& client, const Words& words) {
  v1::RetuneConfig config;
  if (words.has("--cents")) config.set_cents(words.number("--cents"));
  v1::RetuneReport report =
      change(words, [&](const auto& in, const auto& out, const auto& sink) { return client.retune(in, out, sink, config); });
  line({"note", "moved_cents", "flags"});
  line({report.before().note(), fixed(report.moved_cents(), 1), flagWords(report.flags())});
  return 0;
}

int layer(const Client& client, const Words& words) {
  v1::LayerConfig config;
  if (words.has("--wet-db")) config.set_wet_db(words.number("--wet-db"));
  v1::LayerReport report =
      change(words, [&](const auto& in, const auto& out, const auto& sink) { return client.layer(in, out, sink, config); });
  line({"frames", "gain_db"});
  line({std::to_string(report.frames()), fixed(report.gain_db(), 1)});
  return 0;
}

int name(const Client& client, const Words& words) {
  if (words.rest.size() == 1) {
    v1::NameFacts facts;
    if (words.has("--library")) facts.set_library(words.text("--library"));
    if (words.has("--articulation")) facts.set_articulation(words.text("--articulation"));
    if (words.has("--layer")) facts.set_layer(words.text("--layer"));
    if (words.has("--midi")) facts.set_midi(words.number("--midi"));
    if (words.has("--dynamic")) facts.set_dynamic(words.text("--dynamic"));
    if (words.has("--rr")) facts.set_rr(words.number("--rr"));
    line({client.formatName(facts)});
    return 0;
  }
  v1::NameFacts facts = client.parseName(words.rest[1]);
  line(kFacts);
  line({facts.library(), facts.articulation(), facts.layer(), facts.has_midi() ? std::to_string(facts.midi()) : "",
        facts.dynamic(), facts.has_rr() ? std::to_string(facts.rr()) : ""});
  return 0;
}

/** Prints the id of a build, its progress and its result. */
int watchBuild(const Client& client, const std::string& id) {
  line({"build", id});
  client.watchBuild(id, [](const v1::WatchBuildResponse& response) {
    if (response.has_progress()) {
      const v1::BuildProgress& progress = response.progress();
      line({"progress", fixed(progress.done(), 2), word(v1::BuildStep_Name(progress.step()), "BUILD_STEP_"), progress.take()});
    } else if (response.has_result()) {
      const v1::BuildResult& result = response.result();
      for (const std::string& warning : result.warnings()) std::cerr << "warning: " << warning << std::endl;
      line({"result", std::to_string(result.samples()), std::to_string(result.missing()), std::to_string(result.flagged()),
            std::to_string(result.left_out()), result.index_file()});
    }
  });
  return 0;
}

/** Starts a build and watches it; it goes on if this program ends. */
int build(const Client& client, const Words& words) {
  return watchBuild(client, client.startBuild(words.rest[1], words.rest[2]));
}

int watch(const Client& client, const Words& words) { return watchBuild(client, words.rest[1]); }

/** Continues a build that was cut off, and watches it. */
int resume(const Client& client, const Words& words) { return watchBuild(client, client.resumeBuild(words.rest[1])); }

v1::PcmFormat format(const std::string& pcm) {
  if (pcm.empty()) throw Problem("follow needs --pcm, for instance --pcm int24,48000,2");
  char word[9];
  int rate, channels, end = 0;
  v1::PcmEncoding encoding;
  bool isForm = std::sscanf(pcm.c_str(), "%8[a-z0-9],%d,%d%n", word, &rate, &channels, &end) == 3 && !pcm[end];
  std::string name = isForm ? word : "";
  for (char& letter : name) letter = std::toupper(letter);
  if (!v1::PcmEncoding_Parse("PCM_ENCODING_" + name, &encoding)) {
    throw Problem("--pcm " + pcm + " is not of the form int24,48000,2 (encoding, hertz, channels)");
  }
  v1::PcmFormat format;
  format.set_encoding(encoding);
  format.set_sample_rate_hz(rate);
  format.set_channels(channels);
  return format;
}

std::string cellName(const v1::Cell& cell) {
  return (cell.has_midi() ? std::to_string(cell.midi()) + " " : "") +
         (cell.dynamic().empty() ? "" : cell.dynamic() + " ") + "rr" + std::to_string(cell.rr());
}

/** Prints one line per note during the session; a later line with its number replaces it. */
void print(const v1::FollowSessionResponse& response, double rate) {
  if (response.has_note()) {
    const v1::NoteHeard& note = response.note();
    const std::string status = word(v1::NoteStatus_Name(note.status()), "NOTE_STATUS_");
    line({"note", std::to_string(note.number()), fixed(note.onset_frame() / rate, 6), fixed(note.end_frame() / rate, 6),
          note.pitch().note(), note.has_pitch() ? fixed(note.pitch().cents(), 1) : "", status,
          note.has_cell() ? cellName(note.cell()) : "", flagWords(note.flags())});
  } else if (response.has_missing()) {
    std::vector<std::string> cells;
    for (const v1::Cell& cell : response.missing().cells()) cells.push_back(cellName(cell));
    line({"missing", std::to_string(cells.size()), join(cells, ", ")});
  }
}

int follow(const Client& client, const Words& words) {
  v1::FollowSessionConfig config;
  *config.mutable_format() = format(words.text("--pcm"));
  std::ifstream sheet(words.rest[1]);
  std::ostringstream text;
  if (!(text << sheet.rdbuf())) throw Problem(words.rest[1] + " cannot be read");
  config.set_sheet_text(text.str());
  config.set_take(words.text("--take"));
  const double rate = config.format().sample_rate_hz();
  takewright::follow(client, config, [](char* to, size_t most) { return read(STDIN_FILENO, to, most); },
                     {[&](const v1::FollowSessionResponse& response) { print(response, rate); }, say});
  return 0;
}

int run(int count, char** given) {
  struct Command {
    int (*run)(const Client&, const Words&);
    size_t min, max;  // words that it takes
  };
  static const std::map<std::string, Command> commands = {
      {"info", {info, 0, 0}},
      {"segment", {segment, 1, 1}}, {"analyse", {analyse, 1, SIZE_MAX}}, {"denoise", {denoise, 2, 2}},
      {"retune", {retune, 2, 2}},   {"layer", {layer, 2, 2}},            {"name", {name, 0, 1}},
      {"build", {build, 2, 2}},     {"watch", {watch, 1, 1}},            {"resume", {resume, 1, 1}},
      {"follow", {follow, 1, 1}}};
  Words words = parse(count, given);
  auto command = commands.find(words.rest.empty() ? "" : words.rest[0]);
  if (command == commands.end() || words.rest.size() - 1 < command->second.min ||
      words.rest.size() - 1 > command->second.max) {
    throw Problem(kUsage);
  }
  takewright::Options options;
  options.server = words.text("--server", options.server);
  options.tokenFile = words.text("--token-file");
  options.tlsCa = words.text("--tls-ca");
  options.timeoutS = words.number("--timeout", options.timeoutS);
  Client client(options);
  return command->second.run(client, words);
}

}  // namespace

int main(int count, char** words) {
  int status = 2;
  try {
    status = run(count, words);
  } catch (const Problem& problem) {
    say(problem.what());
  }
  std::_Exit(status);  // a thread may still wait for standard input
}
