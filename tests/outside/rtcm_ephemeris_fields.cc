// Broadcast ephemerides. Names and members were compared one by one with the
// library's descriptions of the fields.
#include "rtcm_fields.h"

namespace stillpoint::outside {

using namespace rtcm;

void visit(Fields& out, const RawGpsEphemeris& m) {
  out.add("DF002", m.type);
  out.add("DF009", m.satellite);
  out.add("DF076", m.week);
  out.add("DF077", m.ura);
  out.add("DF078", m.code_on_l2);
  out.add("DF079", m.idot);
  out.add("DF071", m.iode);
  out.add("DF081", m.toc);
  out.add("DF082", m.af2);
  out.add("DF083", m.af1);
  out.add("DF084", m.af0);
  out.add("DF085", m.iodc);
  out.add("DF086", m.crs);
  out.add("DF087", m.delta_n);
  out.add("DF088", m.m0);
  out.add("DF089", m.cuc);
  out.add("DF090", m.eccentricity);
  out.add("DF091", m.cus);
  out.add("DF092", m.sqrt_a);
  out.add("DF093", m.toe);
  out.add("DF094", m.cic);
  out.add("DF095", m.omega0);
  out.add("DF096", m.cis);
  out.add("DF097", m.i0);
  out.add("DF098", m.crc);
  out.add("DF099", m.omega);
  out.add("DF100", m.omega_dot);
  out.add("DF101", m.tgd);
  out.add("DF102", m.health);
  out.add("DF103", m.l2p_data_off);
  out.add("DF137", m.long_fit);
}

void visit(Fields& out, const RawQzssEphemeris& m) {
  out.add("DF002", m.type);
  out.add("DF429", m.satellite);
  out.add("DF430", m.toc);
  out.add("DF431", m.af2);
  out.add("DF432", m.af1);
  out.add("DF433", m.af0);
  out.add("DF434", m.iode);
  out.add("DF435", m.crs);
  out.add("DF436", m.delta_n);
  out.add("DF437", m.m0);
  out.add("DF438", m.cuc);
  out.add("DF439", m.eccentricity);
  out.add("DF440", m.cus);
  out.add("DF441", m.sqrt_a);
  out.add("DF442", m.toe);
  out.add("DF443", m.cic);
  out.add("DF444", m.omega0);
  out.add("DF445", m.cis);
  out.add("DF446", m.i0);
  out.add("DF447", m.crc);
  out.add("DF448", m.omega);
  out.add("DF449", m.omega_dot);
  out.add("DF450", m.idot);
  out.add("DF451", m.code_on_l2);
  out.add("DF452", m.week);
  out.add("DF453", m.ura);
  out.add("DF454", m.health);
  out.add("DF455", m.tgd);
  out.add("DF456", m.iodc);
  out.add("DF457", m.long_fit);
}

void visit(Fields& out, const RawNavicEphemeris& m) {
  out.add("DF002", m.type);
  out.add("DF516", m.satellite);
  out.add("DF517", m.week);
  out.add("DF518", m.af0);
  out.add("DF519", m.af1);
  out.add("DF520", m.af2);
  out.add("DF521", m.ura);
  out.add("DF522", m.toc);
  out.add("DF523", m.tgd);
  out.add("DF524", m.delta_n);
  out.add("DF525", m.iodec);
  out.add("DF526", m.reserved);
  out.add("DF527", m.l5_bad);
  out.add("DF528", m.s_bad);
  out.add("DF529", m.cuc);
  out.add("DF530", m.cus);
  out.add("DF531", m.cic);
  out.add("DF532", m.cis);
  out.add("DF533", m.crc);
  out.add("DF534", m.crs);
  out.add("DF535", m.idot);
  out.add("DF536", m.m0);
  out.add("DF537", m.toe);
  out.add("DF538", m.eccentricity);
  out.add("DF539", m.sqrt_a);
  out.add("DF540", m.omega0);
  out.add("DF541", m.omega);
  out.add("DF542", m.omega_dot);
  out.add("DF543", m.i0);
  out.add("DF544", m.spare1);
  out.add("DF545", m.spare2);
}

void visit(Fields& out, const RawBeidouEphemeris& m) {
  out.add("DF002", m.type);
  out.add("DF488", m.satellite);
  out.add("DF489", m.week);
  out.add("DF490", m.urai);
  out.add("DF491", m.idot);
  out.add("DF492", m.aode);
  out.add("DF493", m.toc);
  out.add("DF494", m.af2);
  out.add("DF495", m.af1);
  out.add("DF496", m.af0);
  out.add("DF497", m.aodc);
  out.add("DF498", m.crs);
  out.add("DF499", m.delta_n);
  out.add("DF500", m.m0);
  out.add("DF501", m.cuc);
  out.add("DF502", m.eccentricity);
  out.add("DF503", m.cus);
  out.add("DF504", m.sqrt_a);
  out.add("DF505", m.toe);
  out.add("DF506", m.cic);
  out.add("DF507", m.omega0);
  out.add("DF508", m.cis);
  out.add("DF509", m.i0);
  out.add("DF510", m.crc);
  out.add("DF511", m.omega);
  out.add("DF512", m.omega_dot);
  out.add("DF513", m.tgd1);
  out.add("DF514", m.tgd2);
  out.add("DF515", m.unhealthy);
}

void visit(Fields& out, const RawGalileoEphemeris& m) {
  out.add("DF002", m.type);
  out.add("DF252", m.satellite);
  out.add("DF289", m.week);
  out.add("DF290", m.iodnav);
  out.add(m.type == 1046 ? "DF286" : "DF291", m.sisa);
  out.add("DF292", m.idot);
  out.add("DF293", m.toc);
  out.add("DF294", m.af2);
  out.add("DF295", m.af1);
  out.add("DF296", m.af0);
  out.add("DF297", m.crs);
  out.add("DF298", m.delta_n);
  out.add("DF299", m.m0);
  out.add("DF300", m.cuc);
  out.add("DF301", m.eccentricity);
  out.add("DF302", m.cus);
  out.add("DF303", m.sqrt_a);
  out.add("DF304", m.toe);
  out.add("DF305", m.cic);
  out.add("DF306", m.omega0);
  out.add("DF307", m.cis);
  out.add("DF308", m.i0);
  out.add("DF309", m.crc);
  out.add("DF310", m.omega);
  out.add("DF311", m.omega_dot);
  out.add("DF312", m.bgd_e5a);
  if (m.type == 1046) {
    out.add("DF313", m.bgd_e5b);
    out.add("DF316", m.e5b_health);
    out.add("DF317", m.e5b_invalid);
    out.add("DF287", m.e1b_health);
    out.add("DF288", m.e1b_invalid);
    out.add("DF001_2", m.reserved);
  } else {
    out.add("DF314", m.e5a_health);
    out.add("DF315", m.e5a_invalid);
    out.add("DF001_7", m.reserved);
  }
}

void visit(Fields& out, const RawGlonassEphemeris& m) {
  out.add("DF002", m.type);
  out.add("DF038", m.slot);
  out.add("DF040", m.channel);
  out.add("DF104", m.almanac_healthy);
  out.add("DF105", m.almanac_present);
  out.add("DF106", m.p1);
  out.add("DF107", m.tk);
  out.add("DF108", m.bn_top_bit);
  out.add("DF109", m.p2);
  out.add("DF110", m.tb);
  out.add("DF111", m.vx);
  out.add("DF112", m.x);
  out.add("DF113", m.ax);
  out.add("DF114", m.vy);
  out.add("DF115", m.y);
  out.add("DF116", m.ay);
  out.add("DF117", m.vz);
  out.add("DF118", m.z);
  out.add("DF119", m.az);
  out.add("DF120", m.p3);
  out.add("DF121", m.gamma);
  out.add("DF122", m.p);
  out.add("DF123", m.ln_third);
  out.add("DF124", m.tau);
  out.add("DF125", m.delta_tau);
  out.add("DF126", m.en);
  out.add("DF127", m.p4);
  out.add("DF128", m.ft);
  out.add("DF129", m.nt);
  out.add("DF130", m.m);
  out.add("DF131", m.additional);
  out.add("DF132", m.na);
  out.add("DF133", m.tau_c);
  out.add("DF134", m.n4);
  out.add("DF135", m.tau_gps);
  out.add("DF136", m.ln_fifth);
  out.add("DF001_7", m.reserved);
}

}  // namespace stillpoint::outside
